/** What a typed number means. A comma is a decimal comma, unless it could as well part the thousands: then it is asked back. */
export type Entered =
  | { readonly is: "empty" }
  | { readonly is: "number"; readonly value: number }
  | { readonly is: "either"; readonly values: readonly [number, number] }
  | { readonly is: "wrong" };

const PLAIN = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;
const EITHER = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;
const GROUPED =
  /^[+-]?[1-9]\d{0,2}([.,])\d{3}(\1\d{3})+$|^[+-]?[1-9]\d{0,2}(,\d{3})+\.\d+$|^[+-]?[1-9]\d{0,2}(\.\d{3})+,\d+$/;
/** Thousands parted by a blank or an apostrophe: nothing else that could be. */
const BLANKS = /^[+-]?[1-9]\d{0,2}([ '\u202f\u00a0]\d{3})+([.,]\d+)?$/;

function asNumber(text: string): number {
  return Number(text.replace(",", "."));
}

function withoutGroups(text: string): number {
  const decimal = Math.max(text.lastIndexOf(","), text.lastIndexOf("."));
  const both = text.includes(",") && text.includes(".");
  if (!both) return Number(text.replace(/[.,' ]/g, ""));
  return Number(`${text.slice(0, decimal).replace(/[.,]/g, "")}.${text.slice(decimal + 1)}`);
}

/** `1,250` could be one and a quarter or twelve hundred and fifty; a dot is only asked back when a comma would be. */
export function entered(text: string): Entered {
  const signed = text.trim().replace(/^−/, "-");
  const typed = BLANKS.test(signed) ? signed.replace(/[ '\u202f\u00a0]/g, "") : signed;
  if (typed === "" || typed === "-" || typed === "+") return { is: "empty" };
  if (EITHER.test(typed) && typed.includes(","))
    return { is: "either", values: [asNumber(typed), withoutGroups(typed)] };
  if (PLAIN.test(typed)) return { is: "number", value: asNumber(typed) };
  if (GROUPED.test(typed)) return { is: "number", value: withoutGroups(typed) };
  return { is: "wrong" };
}

/** One key of the pad applied to what stands there. */
export function pressed(text: string, key: string): string {
  if (key === "back") return text.slice(0, -1);
  if (key === "sign") return text.startsWith("-") ? text.slice(1) : `-${text}`;
  if (key === ",") return /[.,]/.test(text) ? text : `${text || "0"},`;
  return text.length >= 9 ? text : text + key;
}
