import { signal } from "@preact/signals";

/** Where the person is: `#/<name>/<id>/<rest...>?key=value`. The phone's back button works because the hash is the route. */
export interface Route {
  readonly name: string;
  readonly id: string | null;
  readonly rest: readonly string[];
  readonly query: Readonly<Record<string, string>>;
}

export const FIRST_SCREEN = "blades";

/** The screens whose id is a blade. */
export const OF_A_BLADE: ReadonlySet<string> = new Set(["blade", "log", "card"]);

export function routeFrom(hash: string): Route {
  const [path = "", query = ""] = hash.replace(/^#\/?/, "").split("?");
  const [name = "", id = null, ...rest] = path.split("/").filter(Boolean).map(decodeURIComponent);
  return {
    name: name || FIRST_SCREEN,
    id,
    rest,
    query: Object.fromEntries(new URLSearchParams(query)),
  };
}

export const route = signal<Route>(routeFrom(globalThis.location?.hash ?? ""));

/**
 * When what is on the glass last changed, by the page's own clock, which nobody sets back: a touch within 150 ms of it is
 * not meant for what is there now.
 */
export const screenChangedMs = signal(0);

/** Take over what the address bar says, unless that was done. */
function follow(): void {
  const asked = routeFrom(globalThis.location.hash);
  if (JSON.stringify(asked) === JSON.stringify(route.peek())) return;
  route.value = asked;
  screenChangedMs.value = performance.now();
}

/**
 * Go to a screen: `go("blade", piece_id)`, `go("check", piece_id, "magnet")`. At once: the browser tells of a new address
 * only later, and a key pressed before that would count for the screen that was just left.
 */
export function go(name: string, ...parts: readonly string[]): void {
  globalThis.location.hash = `/${[name, ...parts].map(encodeURIComponent).join("/")}`;
  follow();
}

export function back(): void {
  if (globalThis.history.length > 1) globalThis.history.back();
  else go(FIRST_SCREEN);
}

/** Follow the address bar; returns how to stop. */
export function followRoute(): () => void {
  globalThis.addEventListener("hashchange", follow);
  follow();
  return () => globalThis.removeEventListener("hashchange", follow);
}
