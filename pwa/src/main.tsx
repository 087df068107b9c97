import "./early.ts";
import { render } from "preact";
import { start } from "./actions/start.ts";
import { App } from "./ui/App.tsx";
import { followJoinLinks } from "./ui/flow/people_forms.ts";
import { listenToKeys } from "./ui/keys.ts";
import { followLook } from "./ui/look.ts";
import { followSpeech } from "./ui/speech.ts";
import { guardTouches } from "./ui/touch.ts";
import { render as wording } from "./ui/words.ts";
import "./ui/style/style.ts";

followLook();
listenToKeys();
guardTouches();
followSpeech();
render(<App />, document.getElementById("app") as HTMLElement);
void start({ say: wording }).then(followJoinLinks);
