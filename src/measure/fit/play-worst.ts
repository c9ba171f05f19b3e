/** What is measured while clips play: directions of bones, places of joints, places of skin. */
export type PlayKind = 'bone' | 'place' | 'skin';

interface Row {
  readonly value: Float64Array;
  /** Place in the list of clips; -1 where nothing was measured. */
  readonly clip: Int32Array;
  /** Seconds. */
  readonly time: Float64Array;
}

/** A later measure must be worse by more than this share to count: rounding must not choose the moment. */
const ALIKE = 1 + 1e-6;

/** The worst of each kind at each of some joints, and when it was. */
export class PlayWorst {
  private readonly rows: Readonly<Record<PlayKind, Row>>;

  constructor(count: number) {
    const row = (): Row => ({
      value: new Float64Array(count),
      clip: new Int32Array(count).fill(-1),
      time: new Float64Array(count),
    });
    this.rows = { bone: row(), place: row(), skin: row() };
  }

  keep(kind: PlayKind, at: number, value: number, clip: number, time: number): void {
    const row = this.rows[kind];
    if (!(value > (row.value[at] ?? 0) * ALIKE)) return;
    row.value[at] = value;
    row.clip[at] = clip;
    row.time[at] = time;
  }

  of(kind: PlayKind, at: number): { value: number; clip: number; time: number } {
    const { value, clip, time } = this.rows[kind];
    return { value: value[at] ?? 0, clip: clip[at] ?? -1, time: time[at] ?? 0 };
  }
}
