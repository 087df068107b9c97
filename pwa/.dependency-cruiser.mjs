/** The layers of the phone app: ui shows, actions act, store keeps, sync sends, alarms ring. */
const only = (name, from, allowed, comment) => ({
  name,
  comment,
  severity: "error",
  from: { path: from, pathNot: "\\.test\\.tsx?$" },
  to: { path: "^src/", pathNot: allowed },
});

export default {
  forbidden: [
    only(
      "ui-shows",
      "^src/ui/",
      "^src/(ui|state|actions|virtual\\.d\\.ts)|^src/engine/(types|words)",
      "a screen reads state and calls actions",
    ),
    only("state-is-plain", "^src/state/", "^src/(state|engine/types)", "signals know nothing of how they are filled"),
    only(
      "actions-act",
      "^src/actions/",
      "^src/(actions|state|store|sync|engine|alarms)/",
      "actions never reach into a screen",
    ),
    only("store-keeps", "^src/store/", "^src/(store|engine/types)", "the store knows nothing above it"),
    only("sync-sends", "^src/sync/", "^src/(sync|store|engine/types)", "sync stands on the store alone"),
    only("alarms-ring", "^src/alarms/", "^src/(alarms|state|engine/types)", "alarms read state"),
    only("engine-alone", "^src/engine/", "^src/engine/", "the engine's host knows nothing of the app"),
    only("worker-alone", "^src/sw\\.ts$", "^src/(sw|virtual)", "the service worker stands alone"),
    {
      name: "nobody-imports-the-worker",
      severity: "error",
      from: { path: "^src/" },
      to: { path: "^src/sw\\.ts$" },
    },
    { name: "no-cycles", severity: "error", from: {}, to: { circular: true } },
    {
      name: "no-orphans",
      severity: "error",
      from: { orphan: true, path: "^src/", pathNot: "\\.d\\.ts$|\\.test\\.tsx?$|^src/sw\\.ts$|^src/engine/types" },
      to: {},
    },
    {
      name: "no-unresolvable",
      severity: "error",
      from: {},
      to: { couldNotResolve: true, pathNot: "\\?(url|worker)|^virtual:" },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: "tsconfig.json" },
    enhancedResolveOptions: { exportsFields: ["exports"], conditionNames: ["import", "types"] },
  },
};
