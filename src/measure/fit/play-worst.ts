/** What is measured while clips play: directions of bones, places of joints, places of skin. */
export type PlayKind = 'bone' | 'place' | 'skin';

/** The same, in the order in which they are told. */
export const PLAY_KINDS: readonly PlayKind[] = ['bone', 'place', 'skin'];

/** The worst of each joint, or of each clip, in what is measured. */
interface Rows {
  readonly value: Float64Array;
  /** Place in the list of clips, or of joints; -1 where nothing was measured. */
  readonly where: Int32Array;
  /** Seconds. */
  readonly time: Float64Array;
}

/** A later measure must be worse by more than this share to count: rounding must not choose the moment. */
const ALIKE = 1 + 1e-6;

/** The worst of each kind at each of some joints, and in each of some clips, and when it was. */
export class PlayWorst {
  private readonly ofJoints: Readonly<Record<PlayKind, Rows>>;
  private readonly ofClips: Readonly<Record<PlayKind, Rows>>;

  constructor(joints: number, clips: number) {
    this.ofJoints = { bone: rows(joints), place: rows(joints), skin: rows(joints) };
    this.ofClips = { bone: rows(clips), place: rows(clips), skin: rows(clips) };
  }

  keep(kind: PlayKind, at: number, value: number, clip: number, time: number): void {
    keepIn(this.ofJoints[kind], at, value, clip, time);
    keepIn(this.ofClips[kind], clip, value, at, time);
  }

  /** At one joint, over all clips. */
  of(kind: PlayKind, at: number): { value: number; clip: number; time: number } {
    const { value, where, time } = this.ofJoints[kind];
    return { value: value[at] ?? 0, clip: where[at] ?? -1, time: time[at] ?? 0 };
  }

  /** In one clip, over all joints. */
  ofClip(kind: PlayKind, clip: number): { value: number; at: number; time: number } {
    const { value, where, time } = this.ofClips[kind];
    return { value: value[clip] ?? 0, at: where[clip] ?? -1, time: time[clip] ?? 0 };
  }
}

function rows(count: number): Rows {
  return {
    value: new Float64Array(count),
    where: new Int32Array(count).fill(-1),
    time: new Float64Array(count),
  };
}

function keepIn(row: Rows, at: number, value: number, where: number, time: number): void {
  if (!(value > (row.value[at] ?? 0) * ALIKE)) return;
  row.value[at] = value;
  row.where[at] = where;
  row.time[at] = time;
}
