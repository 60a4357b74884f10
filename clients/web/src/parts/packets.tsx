import { useState } from "preact/hooks";
import { downloadPart, failureOf, previewPart, type Failure } from "../api";
import type { Packet } from "../gen/roodbeam/v1/packet_service_pb";
import { bytes, count, moment } from "../lib/format";
import { statusWord } from "../lib/words";
import { Trouble } from "./basics";

/** Issued packets, and the packet as it would be issued now. */
export function Packets({ project, packets, failure }: { project: string; packets: Packet[] | undefined; failure: Failure | undefined }): preact.JSX.Element {
  return (
    <section class="card" aria-labelledby="packets-title" id="packets">
      <h2 id="packets-title">Packets</h2>
      {failure === undefined ? null : <Trouble failure={failure} />}
      {packets?.length === 0 ? <p>None was issued yet.</p> : null}
      <ul class="packets">{packets?.map((p) => <li key={p.packetId}><One project={project} packet={p} /></li>)}</ul>
      <Save name="packet-preview.pdf" title="Preview of the next packet (PDF)" load={() => previewPart(project, "packet.pdf")} />
    </section>
  );
}

function One({ project, packet: p }: { project: string; packet: Packet }): preact.JSX.Element {
  const main = p.parts.find((x) => x.name === "packet.pdf");
  const rest = p.parts.filter((x) => x !== main);
  const name = (part: string): string => `packet-${p.number}-${part.replace(/^packet\./, "sheets.")}`;
  return (
    <>
      <h3>Packet {p.number}, {statusWord[p.status]}</h3>
      <p class="muted">{moment(p.issued)}, {p.issuedBy}; {count(p.openStops, "open stop")} at that time</p>
      {p.note === "" ? null : <p>{p.note}</p>}
      {main === undefined ? null : (
        <Save name={name(main.name)} title={`Packet ${p.number} (PDF, ${bytes(main.sizeBytes)})`} load={() => downloadPart(project, p.packetId, main.name)} />
      )}
      {rest.length === 0 ? null : (
        <details>
          <summary>{count(rest.length, "other file")}</summary>
          <ul>
            {rest.map((x) => (
              <li key={x.name}>
                <Save name={name(x.name)} title={`${x.title === "" ? x.name : x.title} (${x.name}, ${bytes(x.sizeBytes)})`} load={() => downloadPart(project, p.packetId, x.name)} />
              </li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

/** Fetches a file with the token and hands it to the browser to keep. */
function Save({ name, title, load }: { name: string; title: string; load: () => Promise<Blob> }): preact.JSX.Element {
  const [busy, setBusy] = useState(false);
  const [failure, setFailure] = useState<Failure>();
  const save = async (): Promise<void> => {
    setBusy(true);
    setFailure(undefined);
    try {
      const url = URL.createObjectURL(await load());
      const a = document.createElement("a");
      a.href = url;
      a.download = name;
      a.click();
      // The browser reads the file after the click; a minute is far beyond that.
      setTimeout(() => URL.revokeObjectURL(url), 60_000);
    } catch (e) {
      setFailure(failureOf(e));
    }
    setBusy(false);
  };
  return (
    <>
      <button type="button" class="file" disabled={busy} onClick={() => void save()}>{busy ? "Fetching …" : title}</button>
      {failure === undefined ? null : <Trouble failure={failure} />}
    </>
  );
}
