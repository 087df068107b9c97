/** A photograph made small: its longest side at most 2,048 px, new JPEG bytes, nothing left of the camera's metadata. */
export interface Shrunk {
  readonly bytes: ArrayBuffer;
  readonly width: number;
  readonly height: number;
}

export const LONGEST_PX = 2_048;
export const SMALL_PX = 320;
const QUALITY = 0.85;

export function fittedSize(width: number, height: number, longest: number): { width: number; height: number } {
  const scale = Math.min(1, longest / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/** Upright as the camera meant it, resized by the browser, encoded anew. */
export async function shrink(picture: Blob | ImageBitmap, longest: number): Promise<Shrunk> {
  const bitmap = await createImageBitmap(picture, { imageOrientation: "from-image" });
  try {
    const { width, height } = fittedSize(bitmap.width, bitmap.height, longest);
    const canvas = document.createElement("canvas");
    canvas.width = width;
    canvas.height = height;
    const pen = canvas.getContext("2d");
    if (!pen) throw new Error("this browser draws no pictures");
    pen.imageSmoothingQuality = "high";
    pen.drawImage(bitmap, 0, 0, width, height);
    const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    if (!blob) throw new Error("this browser makes no JPEG");
    return { bytes: await blob.arrayBuffer(), width, height };
  } finally {
    bitmap.close();
  }
}
