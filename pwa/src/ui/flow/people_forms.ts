import { effect, signal } from "@preact/signals";
import { newMember } from "../../actions/person.ts";
import { claimShop, type Joined, joinShop, makeJoinCode } from "../../actions/shop.ts";
import type { Note } from "../../engine/types.ts";
import { person } from "../../state/person.ts";
import { go, route } from "../../state/route.ts";
import { shop } from "../../state/shop.ts";
import { endForm, type Form, formFor, textIn } from "./form.ts";

export function newPersonForm(): Form {
  return formFor("person", { person_name: "", initials: "" });
}

export function keepPerson(form: Form): void {
  const { temperature_unit, length_unit, hand, theme } = person.value;
  const made = {
    name: textIn(form, "person_name").trim(),
    initials: textIn(form, "initials").trim(),
    temperature_unit,
    length_unit,
    hand,
    theme,
  };
  void newMember(made).then((kept) => {
    if (kept.kept) endForm(form);
  });
}

const UNNAMED = "phone";

/** What joining came to: nothing yet, on its way, or why not. */
export const joining = signal<"no" | "asking" | Note>("no");

/** A name for this phone to begin with, as its browser tells it. */
function thisPhone(): string {
  const { userAgentData, platform } = navigator as Navigator & { userAgentData?: { platform?: string } };
  return userAgentData?.platform || platform || UNNAMED;
}

export function joinForm(code: string): Form {
  return formFor(`join:${code}`, { code, device_name: thisPhone() });
}

function answered(form: Form, answer: Joined): void {
  if (!answer.joined) {
    joining.value = answer.note;
    return;
  }
  joining.value = "no";
  endForm(form);
  go("blades");
}

export function join(form: Form): void {
  joining.value = "asking";
  const device_name = textIn(form, "device_name").trim() || UNNAMED;
  void joinShop(textIn(form, "code").trim(), device_name).then((answer) => answered(form, answer));
}

/** The first device of a new server claims it with the code on its console. */
export function claim(form: Form): void {
  joining.value = "asking";
  const device_name = textIn(form, "device_name").trim() || UNNAMED;
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const shop_name = textIn(form, "shop_name").trim();
  void claimShop(textIn(form, "code").trim(), shop_name, zone, device_name).then((answer) => answered(form, answer));
}

/** A code for one more device, as long as it is shown. */
export const joinCode = signal<{ readonly code: string; readonly expires_ms: number } | null>(null);

export function askJoinCode(): void {
  void makeJoinCode().then(
    (made) => {
      joinCode.value = made;
    },
    () => {
      joining.value = { key: "phone.no_server" };
    },
  );
}

const tried = new Set<string>();

/** A join link joins by itself, once, on a phone that has joined nothing yet. */
export function followJoinLinks(): void {
  effect(() => {
    const { name, id } = route.value;
    if (name !== "join" || !id || tried.has(id) || shop.peek().joined) return;
    tried.add(id);
    join(joinForm(id));
  });
}
