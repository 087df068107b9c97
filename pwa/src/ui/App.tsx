import type { FoldAnswer } from "../engine/types.ts";
import { blades, bladesRead, openBlade } from "../state/blades.ts";
import { away, people } from "../state/moment.ts";
import { OF_A_BLADE, type Route, route } from "../state/route.ts";
import { photoFacts } from "./flow/photo_copies.ts";
import { NoticeBar, RingBar, Status, TouchStrip } from "./parts/Overlays.tsx";
import { Sitting } from "./parts/Sitting.tsx";
import { say } from "./say.ts";
import { Batch, Baths } from "./screens/Batch.tsx";
import { Blades } from "./screens/Blades.tsx";
import { Camera } from "./screens/Camera.tsx";
import { CardScreen } from "./screens/CardScreen.tsx";
import { CardWidth } from "./screens/CardWidth.tsx";
import { CatchUp, catchUpRows } from "./screens/CatchUp.tsx";
import { CheckScreen } from "./screens/CheckScreen.tsx";
import { Earlier } from "./screens/Earlier.tsx";
import { GateScreen } from "./screens/GateScreen.tsx";
import { Join } from "./screens/Join.tsx";
import { Log } from "./screens/Log.tsx";
import { More } from "./screens/More.tsx";
import { NewBlade } from "./screens/NewBlade.tsx";
import { NoteScreen } from "./screens/NoteScreen.tsx";
import { Override } from "./screens/Override.tsx";
import { PaperTimes } from "./screens/PaperTimes.tsx";
import { People } from "./screens/People.tsx";
import { Quench } from "./screens/Quench.tsx";
import { Settings } from "./screens/Settings.tsx";
import { Shop } from "./screens/Shop.tsx";
import { Notices, Sources } from "./screens/Sources.tsx";
import { Stations } from "./screens/Stations.tsx";
import { Step } from "./screens/Step.tsx";
import { Straighten } from "./screens/Straighten.tsx";
import { Straightness } from "./screens/Straightness.tsx";
import { FindingScreen, WhatNow } from "./screens/WhatNow.tsx";

interface Place {
  readonly piece_id: string;
  readonly fold: FoldAnswer;
  readonly part: string | undefined;
  readonly last: string | undefined;
}

/** The working screen that the fold asks for. */
function Working({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const gate = fold.gates[0];
  if (fold.screen === "quench") return <Quench piece_id={piece_id} fold={fold} />;
  if (fold.screen === "straighten") return <Straighten piece_id={piece_id} fold={fold} />;
  if (fold.screen === "gate" && gate) return <GateScreen piece_id={piece_id} fold={fold} gate={gate} />;
  return <Step piece_id={piece_id} fold={fold} />;
}

function check({ piece_id, part = "", last }: Place) {
  if (part === "straightness") return <Stations piece_id={piece_id} entry_id={last} />;
  return <CheckScreen key={part} piece_id={piece_id} check={part} entry_id={last} />;
}

function gate({ piece_id, fold, part }: Place) {
  const asked = fold.gates.find(({ id }) => id === part) ?? fold.gates[0];
  return asked ? <GateScreen piece_id={piece_id} fold={fold} gate={asked} /> : <Step piece_id={piece_id} fold={fold} />;
}

/** The screens of one blade, by the word after its id. */
const BLADE_SCREENS: Readonly<Record<string, (place: Place) => preact.JSX.Element>> = {
  check,
  gate,
  straightness: ({ piece_id, fold }) => <Straightness piece_id={piece_id} fold={fold} />,
  override: ({ piece_id, fold, part = "" }) => <Override piece_id={piece_id} fold={fold} gate={part} />,
  wrong: ({ piece_id, fold, part }) =>
    part ? (
      <FindingScreen piece_id={piece_id} fold={fold} finding={part} />
    ) : (
      <WhatNow piece_id={piece_id} fold={fold} />
    ),
  more: ({ piece_id, fold }) => <More piece_id={piece_id} fold={fold} />,
  earlier: ({ piece_id, part }) => <Earlier piece_id={piece_id} entry_id={part} />,
  photo: ({ piece_id, fold: { step } }) => (
    <Camera piece_id={piece_id} facts={photoFacts.value[piece_id] ?? (step ? { step } : {})} />
  ),
  paper: ({ piece_id }) => <PaperTimes piece_id={piece_id} />,
  note: ({ piece_id }) => <NoteScreen piece_id={piece_id} />,
};

/** A blade whose log is still being read, or that this phone has not: the way back is there all the same. */
function NotOpen({ id }: { id: string }) {
  const here = !bladesRead.value || blades.value.some(({ piece_id }) => piece_id === id);
  return (
    <Sitting title={say(here ? "blades.reading" : "blades.not_here")} backTo={["blades"]}>
      {!here && <p>{say("blades.not_here_hint")}</p>}
    </Sitting>
  );
}

function Blade({ id, name, rest }: { id: string; name: string; rest: Route["rest"] }) {
  const blade = openBlade.value;
  if (!blade?.fold || blade.piece_id !== id) return <NotOpen id={id} />;
  if (name === "log") return <Log piece_id={id} />;
  if (name === "card") return <CardScreen piece_id={id} />;
  const [screen = "", part, last] = rest;
  const place = { piece_id: id, fold: blade.fold, part, last };
  return BLADE_SCREENS[screen]?.(place) ?? <Working piece_id={id} fold={blade.fold} />;
}

const SCREENS: Readonly<Record<string, (id: string | null) => preact.JSX.Element>> = {
  batch: () => <Batch />,
  bath: () => <Baths />,
  new: () => <NewBlade />,
  settings: () => <Settings />,
  "card-width": () => <CardWidth />,
  sources: () => <Sources />,
  notices: () => <Notices />,
  shop: () => <Shop />,
  join: (id) => <Join code={id ?? ""} />,
  "catch-up": () => <CatchUp />,
  "what-now": (id) =>
    id ? <FindingScreen piece_id={null} fold={null} finding={id} /> : <WhatNow piece_id={null} fold={null} />,
};

/** After an absence what ran on is shown first; not while a quench or its window is running. */
function needsCatchUp(): boolean {
  if (!away.value || catchUpRows().length === 0) return false;
  const screen = openBlade.value?.fold?.screen;
  return screen !== "quench" && screen !== "straighten";
}

function Screen() {
  const { name, id, rest } = route.value;
  if (needsCatchUp() && (name === "blades" || (name === "blade" && rest.length === 0))) return <CatchUp />;
  if (id && OF_A_BLADE.has(name)) return <Blade id={id} name={name} rest={rest} />;
  return SCREENS[name]?.(id) ?? <Blades />;
}

/** From going to the bath until out of it nothing is asked, and every contact is the mark. */
function isQuenching(): boolean {
  const { name, rest } = route.value;
  return name === "blade" && rest.length === 0 && openBlade.value?.fold?.screen === "quench";
}

/** People first: while there is fire, gas or somebody hurt, nothing else is shown. */
export function App() {
  if (people.value) return <People kind={people.value.kind} />;
  return (
    <>
      <div class="bars">
        {!isQuenching() && <RingBar />}
        <NoticeBar only_not_kept={isQuenching()} />
      </div>
      <Screen />
      {!isQuenching() && <TouchStrip />}
      <Status />
    </>
  );
}
