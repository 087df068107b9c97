export interface SmallChoice {
  readonly label: string;
  readonly onPress: () => void;
  readonly off?: boolean;
}

/** Up to three small ones under the action, never where a wrong hit costs more than an undo. */
export function SmallRow({ choices }: { choices: readonly SmallChoice[] }) {
  return (
    <div class="small-row">
      {choices.map((choice) => (
        <button type="button" class="small" key={choice.label} disabled={choice.off ?? false} onClick={choice.onPress}>
          {choice.label}
        </button>
      ))}
    </div>
  );
}
