import { create, fromJson, type JsonObject } from "@bufbuild/protobuf";
import { timestampNow } from "@bufbuild/protobuf/wkt";
import { useEffect, useRef, useState } from "preact/hooks";
import { keepable } from "../api";
import type { DisplayUnits } from "../gen/roodbeam/v1/catalogue_pb";
import { QuantitySchema } from "../gen/roodbeam/v1/quantity_pb";
import { Dimension } from "../gen/roodbeam/options/v1/quantity_pb";
import { Instrument, MeasurementKind, MeasurementSchema, type Measurement } from "../gen/roodbeam/v1/survey_pb";
import { inDegrees, signed } from "../lib/length";
import { answered, type Doubt } from "../lib/newpoint";
import type { Item } from "../lib/outbox";
import { uuidv7 } from "../lib/uuid";
import { instrumentWord, kindForm, kindForms, whatIsMeasured } from "../lib/words";
import { askReading, ReadingLine, useReading } from "./length";
import { Picker, type Names, type Picked } from "./point";

const NONE: Picked = { name: "", isNew: false };
const UNKNOWN_FLOOR = "";

const instruments = [
  Instrument.UNSPECIFIED, Instrument.LASER, Instrument.STEEL_TAPE, Instrument.FIBRE_TAPE, Instrument.PHONE_AR, Instrument.PHONE_LIDAR,
  Instrument.CLINOMETER, Instrument.COUNTED, Instrument.COUNTED_TILES, Instrument.DRAWING, Instrument.GUESS,
];

/** Problems beside their fields, by field of the measurement; `form` is about none of them. */
export type Problems = Partial<Record<"from" | "at" | "to" | "with" | "value" | "angle" | "note" | "reference" | "form", string>> & {
  /** Names the server does not know. */
  doubts?: Doubt[];
};

/** Says in one line what an entry holds: "Height of W1: 6.02 m". */
export function labelOf(measurement: JsonObject): string {
  return inOneLine(fromJson(MeasurementSchema, measurement));
}

function inOneLine(m: Measurement): string {
  const numbers = [m.value?.typed ?? "", m.angle?.typed ?? ""].filter((x) => x !== "").join(", ");
  return `${whatIsMeasured(m)}${numbers === "" ? "" : `: ${numbers}`}`;
}

/** The form for one measurement. `save` returns the problems the server found with it. */
export function EntryForm({ project, units, names, floors, save }: {
  project: string; units: DisplayUnits; names: Names; floors: string[]; save: (item: Item) => Promise<Problems | undefined>;
}): preact.JSX.Element {
  const [kind, setKind] = useState(MeasurementKind.HEIGHT);
  const [from, setFrom] = useState(NONE);
  const [at, setAt] = useState(NONE);
  const [to, setTo] = useState(NONE);
  const [other, setOther] = useState(NONE);
  const [turn, setTurn] = useState("");
  const [text, setText] = useState("");
  const [first, setFirst] = useState("");
  const [unsure, setUnsure] = useState("");
  const [negative, setNegative] = useState(false);
  const [instrument, setInstrument] = useState(Instrument.UNSPECIFIED);
  const [floor, setFloor] = useState(UNKNOWN_FLOOR);
  const [note, setNote] = useState("");
  const [problems, setProblems] = useState<Problems>({});
  const [busy, setBusy] = useState(false);
  // What hinders saving may stand above what a phone shows: the focus goes there.
  const frame = useRef<HTMLFormElement>(null);
  const [stuck, setStuck] = useState(0);
  useEffect(() => {
    if (stuck > 0) frame.current?.querySelector<HTMLElement>(`.ask button, [aria-invalid="true"]`)?.focus();
  }, [stuck]);
  // The entry whose names are in question.
  const [asked, setAsked] = useState<Item>();

  const form = kindForm(kind);
  const value = form.value === undefined ? "" : signed(text, form.sides !== undefined && negative);
  const angle = form.angle === undefined ? "" : inDegrees(turn);
  const reading = useReading(Dimension.LENGTH, value, units);
  const angleReading = useReading(Dimension.ANGLE, angle, units);
  const hasNumber = form.value !== undefined || form.angle !== undefined;

  const check = async (): Promise<Problems> => {
    const out: Problems = {};
    if (form.from !== undefined && from.name.trim() === "") out.from = "Choose where it was taken from.";
    if (form.at !== undefined && at.name.trim() === "") out.at = "Choose the point.";
    if (to.name.trim() === "") out.to = "Choose what was measured.";
    if (form.with !== undefined && other.name.trim() === "") out.with = "Choose the other wall's second point.";
    if (form.from !== undefined && from.name.trim() !== "" && from.name.trim() === to.name.trim()) out.to = "Both ends have the same name.";
    if (form.value !== undefined) {
      const settled = reading.state === "asking" ? await askReading(Dimension.LENGTH, value, units, new AbortController().signal) : reading;
      if (settled.state === "empty") out.value = "Type the number as you read it.";
      if (settled.state === "problem") out.value = settled.why;
      if (settled.state === "choose" && unsure !== value) out.value = "Choose one of the readings, or say that you are not sure.";
    }
    if (form.angle !== undefined) {
      const settled = angleReading.state === "asking" ? await askReading(Dimension.ANGLE, angle, units, new AbortController().signal) : angleReading;
      if (settled.state === "empty") out.angle = "Type the number as you read it.";
      if (settled.state === "problem") out.angle = settled.why;
    }
    return out;
  };

  const item = (): Item => {
    const remark = first !== "" && first !== value ? `first typed “${first}”` : "";
    const m = create(MeasurementSchema, {
      kind,
      from: form.from === undefined ? "" : from.name.trim(),
      at: form.at === undefined ? "" : at.name.trim(),
      to: to.name.trim(),
      with: form.with === undefined ? "" : other.name.trim(),
      instrument: hasNumber ? form.instrument ?? instrument : Instrument.UNSPECIFIED,
      reference: form.floor === true ? floor : "",
      note: [note.trim(), remark].filter((x) => x !== "").join("; "),
      taken: timestampNow(),
      ...(form.value === undefined ? {} : { value: create(QuantitySchema, { typed: value }) }),
      ...(form.angle === undefined ? {} : { angle: create(QuantitySchema, { typed: angle }) }),
    });
    const known = new Set([...names.points, ...names.lines, ...names.others]);
    const fresh = [form.from === undefined ? NONE : from, form.at === undefined ? NONE : at, to, form.with === undefined ? NONE : other]
      .filter((p) => p.isNew).map((p) => p.name.trim()).filter((n) => !known.has(n));
    return { id: uuidv7(), project, measurement: keepable(m), fresh: [...new Set(fresh)], sure: [], label: inOneLine(m), at: Date.now() };
  };

  const submit = async (): Promise<void> => {
    setBusy(true);
    const found = await check();
    if (Object.keys(found).length > 0) {
      setProblems(found);
      setStuck((n) => n + 1);
      setBusy(false);
      return;
    }
    await send(item());
  };

  const send = async (entry: Item): Promise<void> => {
    setBusy(true);
    const refused = await save(entry);
    setProblems(refused ?? {});
    setAsked(refused?.doubts === undefined ? undefined : { ...entry, doubts: refused.doubts });
    if (refused !== undefined) setStuck((n) => n + 1);
    else {
      // Kind, floor and instrument stay: the next number is mostly of the same sort.
      setText("");
      setTurn("");
      setFirst("");
      setUnsure("");
      setNote("");
      setFrom((p) => ({ ...p, isNew: false }));
      setAt((p) => ({ ...p, isNew: false }));
      setTo(NONE);
      setOther(NONE);
    }
    setBusy(false);
  };

  const answer = (doubt: Doubt, means: string | undefined): void => {
    if (asked === undefined || busy) return;
    const entry = answered(asked, doubt, means);
    if (means !== undefined) setters[doubt.field]?.({ name: means, isNew: false });
    if (entry.doubts === undefined) {
      void send({ ...entry, label: labelOf(entry.measurement) });
      return;
    }
    setAsked(entry);
    setProblems({ doubts: entry.doubts });
  };
  const setters: Record<string, ((p: Picked) => void) | undefined> = { from: setFrom, at: setAt, to: setTo, with: setOther };
  // Whoever changes a field asks anew when it is saved.
  const picker = (field: "from" | "at" | "to" | "with", set: (p: Picked) => void): Pick<Parameters<typeof Picker>[0], "id" | "names" | "problem" | "doubt" | "set" | "answer"> => ({
    id: field, names, problem: problems[field], doubt: problems.doubts?.find((d) => d.field === field), answer,
    set: (p) => {
      set(p);
      setProblems((old) => without(without(old, "doubts"), field));
    },
  });

  const described = [form.value === undefined ? "" : "value-reading", problems.value === undefined ? "" : "value-problem"].filter((x) => x !== "").join(" ");
  return (
    <form ref={frame} class="card" aria-labelledby="entry-title" noValidate onSubmit={(e) => { e.preventDefault(); void submit(); }}
      onInput={() => setProblems((p) => (p.doubts === undefined ? p : without(p, "doubts")))}>
      <h2 id="entry-title">Enter a measurement</h2>
      <div class="field">
        <label htmlFor="kind">What did you measure?</label>
        <select id="kind" value={kind} aria-describedby="kind-help" onChange={(e) => { setKind(Number(e.currentTarget.value)); setProblems({}); }}>
          {kindForms.map((f) => <option key={f.kind} value={f.kind}>{f.title}</option>)}
        </select>
        <p class="muted" id="kind-help">{form.help}</p>
      </div>
      {form.from === undefined ? null : <Picker {...picker("from", setFrom)} label={form.from} things={form.things} value={from} />}
      {form.at === undefined ? null : <Picker {...picker("at", setAt)} label={form.at} things={false} value={at} />}
      <Picker {...picker("to", setTo)} label={form.to} things={form.things} value={to} />
      {form.with === undefined ? null : <Picker {...picker("with", setOther)} label={form.with} things={false} value={other} />}
      {form.floor !== true ? null : (
        <div class="field">
          <label htmlFor="floor">From which floor?</label>
          <select id="floor" value={floor} onChange={(e) => setFloor(e.currentTarget.value)}>
            <option value={UNKNOWN_FLOOR}>I don't know</option>
            {floors.map((f) => <option key={f} value={f}>{f}</option>)}
          </select>
          {problems.reference === undefined ? null : <p class="problem">{problems.reference}</p>}
        </div>
      )}
      {form.sides === undefined ? null : (
        <div class="field">
          <label htmlFor="side">On which side?</label>
          <select id="side" value={negative ? "-" : "+"} onChange={(e) => setNegative(e.currentTarget.value === "-")}>
            <option value="+">{form.sides[0]}</option>
            <option value="-">{form.sides[1]}</option>
          </select>
        </div>
      )}
      {form.value === undefined ? null : (
        <div class="field">
          <label htmlFor="value">{form.value}, with its unit</label>
          <input id="value" type="text" inputMode="text" autocomplete="off" autocapitalize="off" spellcheck={false} maxLength={80}
            placeholder={form.example ?? `e.g. 12' 6 1/2"  or  3.81 m`} value={text} aria-describedby={described} aria-invalid={problems.value !== undefined}
            onInput={(e) => { setText(e.currentTarget.value); setFirst(""); }} />
          <ReadingLine id="value-reading" reading={reading} unsure={unsure !== "" && unsure === value}
            choose={(chosen) => { setFirst(value); setText(chosen); setProblems((p) => without(p, "value")); }}
            keep={() => { setUnsure(value); setProblems((p) => without(p, "value")); }} />
          {problems.value === undefined || reading.state === "problem" ? null : <p class="problem" id="value-problem">{problems.value}</p>}
        </div>
      )}
      {form.angle === undefined ? null : (
        <div class="field">
          <label htmlFor="angle">{form.angle}, in degrees</label>
          <input id="angle" type="text" inputMode="text" autocomplete="off" autocapitalize="off" spellcheck={false} maxLength={80} placeholder="e.g. 34.5°"
            value={turn} aria-describedby={`angle-reading${problems.angle === undefined ? "" : " angle-problem"}`} aria-invalid={problems.angle !== undefined}
            onInput={(e) => setTurn(e.currentTarget.value)} />
          <ReadingLine id="angle-reading" reading={angleReading} unsure={false} choose={setTurn} keep={() => undefined} />
          {problems.angle === undefined || angleReading.state === "problem" ? null : <p class="problem" id="angle-problem">{problems.angle}</p>}
        </div>
      )}
      {!hasNumber || form.instrument !== undefined ? null : (
        <div class="field">
          <label htmlFor="instrument">Measured with</label>
          <select id="instrument" value={instrument} onChange={(e) => setInstrument(Number(e.currentTarget.value))}>
            {instruments.map((i) => <option key={i} value={i}>{instrumentWord[i]}</option>)}
          </select>
        </div>
      )}
      <div class="field">
        <label htmlFor="note">Note (if there is anything to say)</label>
        <textarea id="note" rows={2} maxLength={3900} value={note} onInput={(e) => setNote(e.currentTarget.value)} />
        {problems.note === undefined ? null : <p class="problem">{problems.note}</p>}
      </div>
      {problems.form === undefined ? null : <p class="problem" role="alert">{problems.form}</p>}
      <button type="submit" class="main" disabled={busy}>{busy ? "Saving …" : "Save"}</button>
    </form>
  );
}

function without(p: Problems, field: keyof Problems): Problems {
  const rest = { ...p };
  delete rest[field];
  return rest;
}
