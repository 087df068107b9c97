import type { Shape as ShapeName } from "../../engine/types.ts";

const PATHS: Readonly<Record<ShapeName, string>> = {
  octagon: "M12 2h16l10 10v16L28 38H12L2 28V12Z",
  triangle: "M20 3 38 37H2Z",
  circle: "M38 20a18 18 0 1 1-36 0 18 18 0 1 1 36 0Z",
  square: "M4 4h32v32H4Z",
};

const COLOURS: Readonly<Record<ShapeName, string>> = {
  octagon: "of-stop",
  triangle: "of-wait",
  circle: "of-go",
  square: "of-done",
};

/** Octagon stop, triangle wait, circle go, square done: the shape carries the state, colour comes fourth. */
export function Shape({ shape, ink = false, big = false }: { shape: ShapeName; ink?: boolean; big?: boolean }) {
  const hollow = shape === "square";
  return (
    <svg
      class={`shape ${ink ? "" : COLOURS[shape]} ${big ? "shape-top" : ""}`}
      width="40"
      height="40"
      viewBox="0 0 40 40"
      aria-hidden="true"
    >
      <path
        d={PATHS[shape]}
        fill={hollow ? "none" : "currentColor"}
        stroke={hollow ? "currentColor" : "none"}
        stroke-width="5"
      />
    </svg>
  );
}
