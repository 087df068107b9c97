import { begin } from "./actions/start.ts";

begin();
