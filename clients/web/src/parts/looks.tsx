import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import type { LookLight } from "../gen/roodbeam/v1/light_pb";
import type { PresetLook, PresetSet } from "../gen/roodbeam/v1/network_pb";
import { percent, seconds } from "../lib/format";
import { Lux, WideTable, type Row } from "./basics";

/** What each button of the wall panel does and gives. */
export function Looks({ presets, looks, units }: { presets: PresetSet | undefined; looks: LookLight[]; units: DisplayUnits }): preact.JSX.Element | null {
  if (presets === undefined || presets.looks.length === 0) return null;
  const light = new Map(looks.map((l) => [l.name, new Map(l.light?.zones.map((z) => [z.name, z.averageLx]))]));
  const zones = [...new Set(looks.flatMap((l) => l.light?.zones.map((z) => z.name) ?? []))];
  const rows = presets.looks.map((l): Row => ({
    key: l.name,
    cells: [`${l.button}. ${l.name}`, percent(l.housePct ?? 0), ...zones.map((z) => <Lux key={z} lx={light.get(l.name)?.get(z)} units={units} />)],
  }));
  return (
    <section aria-labelledby="looks-title" id="looks">
      <h2 id="looks-title">Wall-panel looks</h2>
      <p class="muted">{presets.panel === "" ? "" : `The panel: ${presets.panel}. `}Light on faces from the new units alone; what the house lights add comes on top.</p>
      <WideTable label="Wall-panel looks" head={["Button", "House lights", ...zones]} rows={rows} />
      <details>
        <summary>When to press which, and what to do when it looks wrong</summary>
        <dl class="looks">{presets.looks.map((l) => <Look key={l.name} look={l} />)}</dl>
      </details>
    </section>
  );
}

function Look({ look: l }: { look: PresetLook }): preact.JSX.Element {
  const on = l.levels.filter((x) => x.pct > 0);
  return (
    <>
      <dt>{l.button}. {l.name}{l.flame ? <> <span class="tag warn">open flames</span></> : null}</dt>
      <dd>{l.when}</dd>
      <dd class="muted">{on.length === 0 ? "All units off" : `Units: ${on.map((x) => `${x.unit} ${percent(x.pct)}`).join(", ")}`}. Fades in {seconds(l.fadeS)}, house lights in {seconds(l.houseFadeS)}.</dd>
      {l.ifWrong === "" ? null : <dd><b>If it looks wrong:</b> {l.ifWrong}</dd>}
    </>
  );
}
