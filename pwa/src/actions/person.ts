import { type DeviceSettings, deviceSettings, members, NOBODY, type Person, person } from "../state/person.ts";
import { newId } from "../store/ids.ts";
import { setMeta } from "../store/meta.ts";
import { theApp } from "./context.ts";
import { type Kept, keep } from "./keep.ts";

async function hold(who: Person): Promise<void> {
  person.value = who;
  await setMeta(theApp().store, "person", who);
}

/** Hand the phone to somebody of the shop: it says who makes the marks, and needs no secret. */
export async function setPerson(member_id: string): Promise<void> {
  const who = members.peek().find((member) => member.member_id === member_id);
  if (who) await hold(who);
}

/** A new person, who then holds the phone. */
export async function newMember(change: Partial<Person> & { name: string; initials: string }): Promise<Kept> {
  const { member_id: _none, ...fresh } = { ...NOBODY, language: person.peek().language, ...change };
  const log_id = newId();
  await hold({ ...fresh, member_id: log_id });
  return keep([{ log_kind: "member", log_id, kind: "made", body: fresh }]);
}

/** Units, hand, theme, language: at once on this phone, and in the person's log where there is one. */
export async function changePerson(change: Partial<Omit<Person, "member_id">>): Promise<Kept | null> {
  const who = { ...person.peek(), ...change };
  await hold(who);
  if (who.member_id === "") return null;
  return keep([{ log_kind: "member", log_id: who.member_id, kind: "changed", body: change }]);
}

/** Day to night, and back. */
export const switchLight = (): Promise<Kept | null> =>
  changePerson({ theme: person.peek().theme === "night" ? "day" : "night" });

export async function setDevice(change: Partial<DeviceSettings>): Promise<void> {
  deviceSettings.value = { ...deviceSettings.peek(), ...change };
  await setMeta(theApp().store, "device_settings", deviceSettings.peek());
}
