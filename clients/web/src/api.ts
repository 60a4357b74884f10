/** The one file that talks to the server. Pages call these functions and get messages, or a Failure. */

import { create, fromJson, toJson, type JsonObject } from "@bufbuild/protobuf";
import { timestampNow } from "@bufbuild/protobuf/wkt";
import { Code, ConnectError, createClient, type Interceptor } from "@connectrpc/connect";
import { createConnectTransport } from "@connectrpc/connect-web";
import { AccessService, type CreateInvitationResponse, type Membership, type Role, type WhoAmIResponse } from "./gen/roodbeam/v1/access_service_pb";
import type { DisplayUnits } from "./gen/roodbeam/v1/catalogue_pb";
import { PacketService, type ListPacketsResponse, type PartChunk } from "./gen/roodbeam/v1/packet_service_pb";
import {
  ProjectOrder, ProjectService, type GetResultsResponse, type ListHistoryResponse, type ListProjectsResponse, type Project,
  type WatchProjectResponse,
} from "./gen/roodbeam/v1/project_service_pb";
import { ResultStage } from "./gen/roodbeam/v1/results_pb";
import { FeatureSchema, SurveyService, type AddMeasurementsResponse, type GetSurveyResponse, type ListPhotosResponse, type ListQuestionsResponse, type ReadQuantityResponse } from "./gen/roodbeam/v1/survey_service_pb";
import { MeasurementSchema, type AccessRoute, type Measurement, type Photo } from "./gen/roodbeam/v1/survey_pb";
import type { Dimension } from "./gen/roodbeam/options/v1/quantity_pb";
import type { ChecklistItem } from "./gen/roodbeam/v1/checklist_pb";
import type { Finding, Signer } from "./gen/roodbeam/v1/finding_pb";
import { QuantitySchema } from "./gen/roodbeam/v1/quantity_pb";
import { BAD_REQUEST, readBadRequest, type Violation } from "./lib/violations";
import { clearlyNew, doubtsOf, type Doubt } from "./lib/newpoint";
import type { Item } from "./lib/outbox";
import type { Door, Piece } from "./lib/photo";
import { uuidv7 } from "./lib/uuid";
import { token } from "./session";

const bearer: Interceptor = (next) => (req) => {
  const t = token();
  if (t !== undefined) req.header.set("authorization", `Bearer ${t}`);
  return next(req);
};

const transport = createConnectTransport({
  baseUrl: window.location.origin,
  useBinaryFormat: true,
  interceptors: [bearer],
  defaultTimeoutMs: 60_000,
});

const access = createClient(AccessService, transport);
const projects = createClient(ProjectService, transport);
const survey = createClient(SurveyService, transport);
const packets = createClient(PacketService, transport);

/** Why a call gave nothing, in a form a page can show. */
export interface Failure {
  /** For people. */
  text: string;
  violations: Violation[];
  /** Whether the same call may do better later: no connection, a busy or failing server. */
  again: boolean;
  /** Whether the token is missing, ended or revoked. */
  signedOut: boolean;
  /** Whether the caller itself gave up. */
  cancelled: boolean;
}

/** Answers after which the same call would be refused again. Everything else may be the connection. */
const definite = new Set([
  Code.InvalidArgument, Code.AlreadyExists, Code.FailedPrecondition, Code.PermissionDenied, Code.NotFound, Code.OutOfRange,
  Code.Unimplemented, Code.Aborted,
]);

/** Turns whatever a call threw into a Failure. */
export function failureOf(thrown: unknown): Failure {
  const e = ConnectError.from(thrown);
  const violations: Violation[] = [];
  for (const d of e.details) {
    if ("type" in d && d.type === BAD_REQUEST && d.value instanceof Uint8Array) violations.push(...readBadRequest(d.value));
  }
  // A dead network arrives as Unknown with the browser's own text.
  const unreachable = e.code === Code.Unknown || e.code === Code.Unavailable;
  return {
    text: unreachable ? "The server cannot be reached at the moment." : e.rawMessage,
    violations,
    again: !definite.has(e.code) && e.code !== Code.Canceled,
    signedOut: e.code === Code.Unauthenticated,
    cancelled: e.code === Code.Canceled,
  };
}

export function whoAmI(signal: AbortSignal): Promise<WhoAmIResponse> {
  return access.whoAmI({}, { signal });
}

/** Trades the secret of an invitation for a token; the same id again gives the same token. */
export async function acceptInvitation(secret: string, name: string, acceptId: string): Promise<{ token: string; membership: Membership | undefined }> {
  const got = await access.acceptInvitation({ secret, name, acceptId });
  return { token: got.token, membership: got.membership };
}

/** Makes an invitation for the role that so many may use for a week. */
export function invite(project: string, role: Role, uses: number): Promise<CreateInvitationResponse> {
  return access.createInvitation({ projectId: project, invitationId: uuidv7(), role, maxUses: uses, hours: 7 * 24 });
}

export function listProjects(text: string, pageToken: string, signal: AbortSignal): Promise<ListProjectsResponse> {
  return projects.listProjects({ text, pageToken, pageSize: 50, order: ProjectOrder.UPDATED }, { signal });
}

export async function getProject(project: string, signal: AbortSignal): Promise<Project> {
  const got = await projects.getProject({ projectId: project }, { signal });
  if (got.project === undefined) throw new ConnectError("the server sent no project", Code.Internal);
  return got.project;
}

/** Returns what the project's page shows of the results; one call, so that all of it is of one revision. */
export function getResults(project: string, signal: AbortSignal): Promise<GetResultsResponse> {
  return projects.getResults({
    projectId: project,
    stages: [ResultStage.SCHEME, ResultStage.LIGHT, ResultStage.DAYLIGHT, ResultStage.PRESETS, ResultStage.LOOKS, ResultStage.LOAD, ResultStage.HANGING, ResultStage.ESTIMATE, ResultStage.FINDINGS],
  }, { signal });
}

/** Returns the newest entries of the journal, newest first. */
export function latestHistory(project: string, signal: AbortSignal): Promise<ListHistoryResponse> {
  return projects.listHistory({ projectId: project, newestFirst: true, pageSize: 30 }, { signal });
}

/** Streams changes after the revision until the signal ends it. */
export function watchProject(project: string, after: bigint, signal: AbortSignal): AsyncIterable<WatchProjectResponse> {
  return projects.watchProject({ projectId: project, afterRevision: after }, { signal, timeoutMs: 0 });
}

export function listPackets(project: string, signal: AbortSignal): Promise<ListPacketsResponse> {
  return packets.listPackets({ projectId: project, pageSize: 20 }, { signal });
}

/** Returns a file of an issued packet. */
export function downloadPart(project: string, packet: string, part: string): Promise<Blob> {
  return blobOf(packets.downloadPart({ projectId: project, packetId: packet, part }));
}

/** Returns a file as it would be issued now. */
export function previewPart(project: string, part: string, signal?: AbortSignal): Promise<Blob> {
  return blobOf(packets.previewPart({ projectId: project, part }, signal === undefined ? {} : { signal }));
}

async function blobOf(chunks: AsyncIterable<PartChunk>): Promise<Blob> {
  const pieces: Uint8Array<ArrayBuffer>[] = [];
  let type = "application/octet-stream";
  for await (const chunk of chunks) {
    if (chunk.part !== undefined) type = chunk.part.mediaType;
    pieces.push(new Uint8Array(chunk.data));
  }
  return new Blob(pieces, { type });
}

export function getSurvey(project: string, signal: AbortSignal): Promise<GetSurveyResponse> {
  return survey.getSurvey({ projectId: project }, { signal });
}

export async function checkSurvey(project: string, signal: AbortSignal): Promise<Finding[]> {
  return (await survey.checkSurvey({ projectId: project }, { signal })).findings;
}

export function listQuestions(project: string, signal: AbortSignal): Promise<ListQuestionsResponse> {
  return survey.listQuestions({ projectId: project }, { signal });
}

/** Tells how a length or an angle is read. */
export function readQuantity(dimension: Dimension, text: string, units: DisplayUnits, signal: AbortSignal): Promise<ReadQuantityResponse> {
  return survey.readQuantity({ dimension, text, units }, { signal, timeoutMs: 10_000 });
}

export function listPhotos(project: string, signal: AbortSignal): Promise<ListPhotosResponse> {
  return survey.listPhotos({ projectId: project, pageSize: 500 }, { signal });
}

/** Returns a photograph, or its small copy. */
export async function getPhoto(project: string, photo: string, small: boolean, signal: AbortSignal): Promise<Blob> {
  const pieces: Uint8Array<ArrayBuffer>[] = [];
  let type = "image/jpeg";
  for await (const m of survey.getPhoto({ projectId: project, photoId: photo, small }, { signal })) {
    if (m.photo !== undefined && !small) type = m.photo.mediaType;
    pieces.push(new Uint8Array(m.data));
  }
  return new Blob(pieces, { type });
}

function wire(p: Piece): { offset: bigint; sha256: string } {
  return { offset: BigInt(p.offset), sha256: p.sha256 };
}

/** Returns the calls by which a photograph is sent. */
export function photoDoor(what: { project: string; id: string; of: string; caption: string }): Door<Photo> {
  const ids = { projectId: what.project, photoId: what.id };
  return {
    start: async (pieces) => {
      const got = await survey.startPhoto({ ...ids, chunks: pieces.map(wire) });
      return { missing: got.missingOffsets.map(Number), photo: got.photo };
    },
    put: async (piece, data) => {
      await survey.putPhotoChunk({ ...ids, chunk: wire(piece), data });
    },
    finish: async (c) => {
      const got = await survey.finishPhoto({ ...ids, chunks: c.pieces.map(wire), sha256: c.sha256, of: what.of, caption: what.caption, taken: timestampNow() });
      if (got.photo === undefined) throw new ConnectError("the server sent no photograph", Code.Internal);
      return got.photo;
    },
  };
}

/** What the server said to an entry: what its checks find now, or which names it does not know; then nothing is written. */
export type Sent = { findings: Finding[]; doubts?: never } | { doubts: Doubt[]; findings?: never };

/** Sends one kept entry. Points become new ones when a person said so, or when their names are like no other. */
export async function sendItem(item: Item): Promise<Sent> {
  const add = (newStations: boolean): Promise<AddMeasurementsResponse> => survey.addMeasurements({
    projectId: item.project, newStations,
    entries: [{ entryId: item.id, measurement: fromJson(MeasurementSchema, item.measurement) }],
  });
  try {
    return { findings: (await add(item.fresh.length > 0 && item.fresh.every((n) => item.sure.includes(n)))).findings };
  } catch (e) {
    const doubts = doubtsOf(failureOf(e).violations, item.measurement)?.filter((d) => !item.sure.includes(d.name));
    if (doubts === undefined) throw e;
    return clearlyNew(doubts, item) ? { findings: (await add(true)).findings } : { doubts };
  }
}

/** Writes the lowest height on a lift's way in, as typed; the rest of the way stays as it was read at the revision. */
export async function putLobbyHeight(project: string, revision: bigint, route: AccessRoute, typed: string): Promise<void> {
  await survey.putFeature({
    projectId: project, entryId: uuidv7(), expectedRevision: revision,
    feature: create(FeatureSchema, { kind: { case: "route", value: { ...route, lobbyHeight: create(QuantitySchema, { typed }) } } }),
  });
}

export async function listChecklist(project: string, signal: AbortSignal): Promise<ChecklistItem[]> {
  return (await survey.getChecklist({ projectId: project }, { signal })).items;
}

export async function listMembers(project: string, signal: AbortSignal): Promise<Membership[]> {
  return (await access.listMembers({ projectId: project }, { signal })).members;
}

export async function removeMember(project: string, person: string, reason: string): Promise<void> {
  await access.removeMember({ projectId: project, entryId: uuidv7(), personId: person, reason });
}

/** Clears or signs a finding as it is shown; one that changed meanwhile is refused. */
export async function clearFinding(project: string, f: Finding, reason: string, signer: Signer | undefined): Promise<void> {
  await projects.clearFinding({
    projectId: project, entryId: uuidv7(), key: f.key, fingerprint: f.fingerprint, reason, ...(signer === undefined ? {} : { signer }),
  });
}

/** Returns the measurement in the form in which it is kept until it is sent. */
export function keepable(m: Measurement): JsonObject {
  return toJson(MeasurementSchema, m) as JsonObject;
}

export async function strikeOut(project: string, measurement: string, reason: string): Promise<void> {
  await survey.voidMeasurement({ projectId: project, entryId: uuidv7(), measurementId: measurement, reason });
}
