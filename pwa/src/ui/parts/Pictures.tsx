import type { ComponentChildren } from "preact";
import type { CardPictures, Note, Picture, PlanTable, Table } from "../../engine/types.ts";
import { drawnLog } from "../flow/log_pictures.ts";
import { words } from "../say.ts";
import { kindOfUnit, scaleOf, shownNumber } from "../units.ts";
import { SourceLines } from "./CardView.tsx";
import { Shape } from "./Shape.tsx";

const right = (x: number) => 46 + 334 * x;
const down = (y: number) => 202 - 190 * y;

/** A picture or a table; what it rests on is one tap away. */
export function Shown({ of, children }: { of: Picture | PlanTable; children: ComponentChildren }) {
  return (
    <>
      <details>
        <summary class="kv">
          <span>{words(of.title)}</span>
        </summary>
        <SourceLines ids={of.sources} notes={of.notes} />
      </details>
      {children}
    </>
  );
}

export function Curves({ picture }: { picture: Picture }) {
  const tick = (value: number, unit: string) => shownNumber(value, kindOfUnit(unit), value % 1 ? 1 : 0);
  const named = (unit: string) => scaleOf(kindOfUnit(unit)).name;
  return (
    <svg class="picture curves" viewBox="-10 0 400 232" role="img" aria-label={words(picture.title)}>
      {picture.lines.map(({ kind, points }, place) => (
        <path key={`${place}`} class={kind} d={`M${points.map(([x, y]) => `${right(x)} ${down(y)}`).join("L")}`} />
      ))}
      <path class="thin" d={`M${right(0)} ${down(1)}V${down(0)}H${right(1)}`} />
      <text x={right(0) - 4} y={down(1) + 8} text-anchor="end">
        {named(picture.y_unit)}
      </text>
      {picture.y.map(([at, value]) => (
        <text key={value} x={right(0) - 4} y={down(at) + 6} text-anchor="end">
          {tick(value, picture.y_unit)}
        </text>
      ))}
      {picture.x.map(([at, value], place) => (
        <text key={value} x={right(at)} y="226" text-anchor={at === 1 ? "end" : "middle"}>
          {tick(value, picture.x_unit)}
          {place > 0 || ` ${named(picture.x_unit)}`}
        </text>
      ))}
      {picture.lines.map(
        ({ label, at }, place) =>
          label && (
            <text key={`${place}`} class="loud" x={right(at[0])} y={down(at[1])} text-anchor="middle">
              {words(label)}
            </text>
          ),
      )}
    </svg>
  );
}

const cellText = (cell: number | Note | null, unit: string | undefined) =>
  typeof cell === "number" ? shownNumber(cell, kindOfUnit(unit)) : words(cell);

export function Rows({ table }: { table: Table }) {
  return (
    <table class="readings">
      <thead>
        <tr>
          {table.columns.map(({ label, unit }) => (
            <th scope="col" key={label.key}>
              {words(label)} {scaleOf(kindOfUnit(unit)).name}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {table.rows.map(({ cells, over }, place) => (
          <tr key={`${place}`}>
            {cells.map((cell, at) => (
              <td key={table.columns[at]?.label.key}>
                {over && at === cells.length - 1 && <Shape shape="octagon" />}
                {cellText(cell, table.columns[at]?.unit)}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** What a plan or a log looks like: pictures, each with its table, and tables without one. */
export function Pictures({ of }: { of: CardPictures }) {
  return (
    <>
      {of.pictures.map((picture) => (
        <Shown key={picture.id} of={picture}>
          <Curves picture={picture} />
          {picture.table && <Rows table={picture.table} />}
        </Shown>
      ))}
      {of.tables.map((table) => (
        <Shown key={table.id} of={table}>
          <Rows table={table} />
        </Shown>
      ))}
    </>
  );
}

/** The pictures of the open blade's log, once the engine has drawn them. */
export function LogPictures({ part, title }: { part: "tempers" | "bows"; title?: string }) {
  const drawn = drawnLog()?.[part];
  if (!drawn?.pictures.length && !drawn?.tables.length) return null;
  return (
    <>
      {title && <h2>{title}</h2>}
      <Pictures of={drawn} />
    </>
  );
}
