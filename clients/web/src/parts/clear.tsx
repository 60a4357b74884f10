import { create } from "@bufbuild/protobuf";
import { useId, useState } from "preact/hooks";
import { clearFinding, failureOf, type Failure } from "../api";
import type { Role } from "../gen/roodbeam/v1/access_service_pb";
import { SignerSchema, type Finding } from "../gen/roodbeam/v1/finding_pb";
import { signs } from "../lib/clear";
import { roleWord } from "../lib/words";
import { Trouble } from "./basics";

const signerFields = [
  { name: "name", label: "Your name", most: 120 },
  { name: "firm", label: "Your firm", most: 200 },
  { name: "licence", label: "Number of your licence or registration", most: 120 },
  { name: "licenceBody", label: "Body that issued it", most: 200 },
] as const;

type Typed = Record<(typeof signerFields)[number]["name"], string>;

/** Lets its owner clear a finding; a trade signs with name, firm and licence. */
export function Clear({ project, role, finding }: { project: string; role: Role; finding: Finding }): preact.JSX.Element {
  const [open, setOpen] = useState(false);
  const signing = signs(role);
  const verb = signing ? "Sign" : "Clear";
  return (
    <>
      <button type="button" class="file" aria-expanded={open} onClick={() => setOpen(!open)}>{verb} as {roleWord[role]} …<span class="hidden"> {finding.title}</span></button>
      {open ? <Form project={project} finding={finding} signing={signing} verb={verb} /> : null}
    </>
  );
}

function Form({ project, finding, signing, verb }: { project: string; finding: Finding; signing: boolean; verb: string }): preact.JSX.Element {
  const id = useId();
  const [reason, setReason] = useState("");
  const [signer, setSigner] = useState<Typed>({ name: "", firm: "", licence: "", licenceBody: "" });
  const [problem, setProblem] = useState("");
  const [failure, setFailure] = useState<Failure>();
  const [state, setState] = useState<"" | "busy" | "done">("");
  const submit = async (): Promise<void> => {
    setFailure(undefined);
    const empty = reason.trim() === "" || (signing && signerFields.some((f) => signer[f.name].trim() === ""));
    setProblem(empty ? "Fill in every field." : "");
    if (empty) return;
    setState("busy");
    try {
      await clearFinding(project, finding, reason.trim(), signing ? create(SignerSchema, signer) : undefined);
      setState("done");
    } catch (e) {
      setFailure(failureOf(e));
      setState("");
    }
  };
  if (state === "done") return <p><output>Noted. It shows here in a moment.</output></p>;
  return (
    <form class="field" noValidate onSubmit={(e) => { e.preventDefault(); void submit(); }}>
      {signing ? signerFields.map((f) => (
        <div key={f.name} class="field">
          <label htmlFor={`${id}-${f.name}`}>{f.label}</label>
          <input id={`${id}-${f.name}`} type="text" required maxLength={f.most} value={signer[f.name]} onInput={(e) => setSigner({ ...signer, [f.name]: e.currentTarget.value })} />
        </div>
      )) : null}
      <label htmlFor={`${id}-reason`}>{signing ? "What you checked, and what you decide" : "Why it is settled"}</label>
      <textarea id={`${id}-reason`} rows={2} required maxLength={4000} value={reason} onInput={(e) => setReason(e.currentTarget.value)} />
      <p class="muted">It stays in the project's journal under your name. It lapses when the figures it rests on change.</p>
      {problem === "" ? null : <p class="problem" role="alert">{problem}</p>}
      {failure === undefined ? null : <Trouble failure={failure} />}
      <button type="submit" class="main" disabled={state === "busy"}>{verb}</button>
    </form>
  );
}
