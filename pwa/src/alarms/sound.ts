import type { SoundName } from "../state/alarms.ts";
import { RHYTHMS, type Tone } from "./rhythm.ts";

const LOUD = 0.9;
const RESUME_MS = 1_000;

let audio: AudioContext | null = null;
let repeating: { name: SoundName; timer: ReturnType<typeof setInterval> } | null = null;

/** May this page sound right now? False until a tap, and again after the phone took the sound away. */
export const soundUnlocked = (): boolean => audio?.state === "running";

/** Must be called from a tap (browsers ask for one). A context that does not come back is made anew. */
export async function unlock(): Promise<boolean> {
  if (typeof AudioContext === "undefined") return false;
  audio ??= new AudioContext();
  if (audio.state === "running") return true;
  if (await resumes(audio)) return true;
  const dead = audio;
  audio = new AudioContext();
  void dead.close().catch(() => undefined);
  return resumes(audio);
}

/** `interrupted` (a call, the lock screen) is treated like `suspended`; a resume that hangs counts as no. */
async function resumes(context: AudioContext): Promise<boolean> {
  const late = new Promise<void>((resolve) => setTimeout(resolve, RESUME_MS));
  await Promise.race([context.resume().catch(() => undefined), late]);
  return context.state === "running";
}

function playTone(context: AudioContext, { from_s, long_s, from_hz, to_hz }: Tone): void {
  const from = context.currentTime + from_s;
  const oscillator = context.createOscillator();
  const volume = context.createGain();
  oscillator.type = "square";
  oscillator.frequency.setValueAtTime(from_hz, from);
  oscillator.frequency.linearRampToValueAtTime(to_hz, from + long_s);
  volume.gain.setValueAtTime(0, from);
  volume.gain.linearRampToValueAtTime(LOUD, from + 0.01);
  volume.gain.setValueAtTime(LOUD, from + long_s - 0.01);
  volume.gain.linearRampToValueAtTime(0, from + long_s);
  oscillator.connect(volume).connect(context.destination);
  oscillator.start(from);
  oscillator.stop(from + long_s);
}

/** Play once; gives whether it could be heard at all. */
export function play(name: SoundName): boolean {
  if (audio?.state !== "running") return false;
  for (const one of RHYTHMS[name].tones) playTone(audio, one);
  return true;
}

/** Vibrate in the same rhythm; gives whether this phone can, and may (a page that was never touched may not). */
export function vibrate(name: SoundName): boolean {
  if (typeof navigator.vibrate !== "function" || navigator.userActivation?.hasBeenActive === false) return false;
  return navigator.vibrate([...RHYTHMS[name].vibration_ms]);
}

/** Ring until told otherwise; the same sound asked for again goes on undisturbed. */
export function ring(name: SoundName | null): void {
  if (repeating?.name === name) return;
  if (repeating) clearInterval(repeating.timer);
  repeating = null;
  if (name === null) return;
  const { repeat_s } = RHYTHMS[name];
  const once = () => {
    play(name);
    vibrate(name);
  };
  once();
  if (repeat_s !== null) repeating = { name, timer: setInterval(once, repeat_s * 1000) };
}
