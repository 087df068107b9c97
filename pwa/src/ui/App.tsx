import type { FoldAnswer } from "../engine/types.ts";
import { openBlade } from "../state/blades.ts";
import { people } from "../state/moment.ts";
import { type Route, route } from "../state/route.ts";
import { Blades } from "./screens/Blades.tsx";
import { GateScreen } from "./screens/GateScreen.tsx";
import { Quench } from "./screens/Quench.tsx";
import { Step } from "./screens/Step.tsx";
import { Straighten } from "./screens/Straighten.tsx";

/** The working screen that the fold asks for. */
export function Working({ piece_id, fold }: { piece_id: string; fold: FoldAnswer }) {
  const gate = fold.gates[0];
  if (fold.screen === "quench") return <Quench piece_id={piece_id} fold={fold} />;
  if (fold.screen === "straighten") return <Straighten piece_id={piece_id} fold={fold} />;
  if (fold.screen === "gate" && gate) return <GateScreen piece_id={piece_id} fold={fold} gate={gate} />;
  return <Step piece_id={piece_id} fold={fold} />;
}

function Blade({ id }: { id: string; rest: Route["rest"] }) {
  const blade = openBlade.value;
  if (!blade?.fold || blade.piece_id !== id) return null;
  return <Working piece_id={id} fold={blade.fold} />;
}

export function App() {
  const { name, id, rest } = route.value;
  if (people.value) return null;
  if (name === "blade" && id) return <Blade id={id} rest={rest} />;
  return <Blades />;
}
