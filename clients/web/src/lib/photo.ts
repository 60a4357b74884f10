/** Sending a photograph in pieces that survive a lost connection. */

/** The server takes pieces of at most this many bytes. */
export const PIECE_BYTES = 512 * 1024;

/** The server takes files of less than this many bytes. */
export const MOST_BYTES = 32 * 1024 * 1024;

export interface Piece {
  /** Bytes from the start of the file. */
  offset: number;
  /** Hexadecimal SHA-256 of its bytes. */
  sha256: string;
}

/** A file with the hashes of its pieces. */
export interface Cut {
  file: Blob;
  sha256: string;
  pieces: Piece[];
}

export async function sha256(bytes: BufferSource): Promise<string> {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (x) => x.toString(16).padStart(2, "0")).join("");
}

export async function cut(file: Blob): Promise<Cut> {
  const bytes = await file.arrayBuffer();
  const pieces: Piece[] = [];
  for (let offset = 0; offset < bytes.byteLength; offset += PIECE_BYTES) {
    pieces.push({ offset, sha256: await sha256(bytes.slice(offset, offset + PIECE_BYTES)) });
  }
  return { file, sha256: await sha256(bytes), pieces };
}

/** The calls that sending needs. */
export interface Door<P> {
  /** Returns the offsets still missing, and the photograph where it is there already. */
  start: (pieces: Piece[]) => Promise<{ missing: number[]; photo: P | undefined }>;
  put: (piece: Piece, data: Uint8Array) => Promise<void>;
  finish: (c: Cut) => Promise<P>;
}

/**
 * Sends what the server lacks of the file and returns the photograph. `told` hears the share that is there, 0 to 1.
 * Whatever is thrown by a call is thrown on; a later call goes on where this one stopped.
 */
export async function send<P>(c: Cut, door: Door<P>, told: (share: number) => void): Promise<P> {
  const { missing, photo } = await door.start(c.pieces);
  if (photo !== undefined) return photo;
  const lacking = new Set(missing);
  const todo = c.pieces.filter((p) => lacking.has(p.offset));
  let there = c.pieces.length - todo.length;
  told(there / c.pieces.length);
  for (const p of todo) {
    const data = new Uint8Array(await c.file.slice(p.offset, p.offset + PIECE_BYTES).arrayBuffer());
    await door.put(p, data);
    there++;
    told(there / c.pieces.length);
  }
  return door.finish(c);
}

type Store = Pick<Storage, "getItem" | "setItem" | "removeItem">;

/** Ids of photographs under way by their file, so that the same file goes on under its id after the page was closed. */
export class Underway {
  constructor(private readonly store: Store, private readonly newID: () => string) {}

  id(project: string, hash: string): string {
    const key = `roodbeam.photo.${project}.${hash}`;
    const known = this.store.getItem(key);
    if (known !== null) return known;
    const id = this.newID();
    this.store.setItem(key, id);
    return id;
  }

  done(project: string, hash: string): void {
    this.store.removeItem(`roodbeam.photo.${project}.${hash}`);
  }
}
