declare const __APP_VERSION__: string;
declare const __ENGINE_VERSION__: string;

declare module "virtual:words" {
  /** Every key with its text; plural forms by the fact `n`. */
  const words: Record<string, string | { one: string; other: string }>;
  export default words;
  /** What the forms ask for: `src/ui/paper.json`. */
  export const paper: unknown;
}
