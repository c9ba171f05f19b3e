export type Pair<T> = readonly [before: T, after: T];

/** The most that anything moved or turned from one file to another. */
export interface Seen {
  /** How far a vertex moved; 1 is the size of the rig. */
  readonly share: number;
  /** Where that is; null where nothing moved, or where a bound alone says how far at most. */
  readonly where: ProofPlace | null;
  /** How far a normal or a tangent turned. Degrees; Infinity where it has lost its direction. */
  readonly turn: number;
  readonly turned: ProofPlace | null;
}

export interface ProofPlace {
  readonly rig: string;
  /** Mesh part and vertex; for what is not skinned the name of the node and null. */
  readonly part: string;
  readonly vertex: number | null;
  /** Clip and seconds, or null for the stored pose. */
  readonly clip: string | null;
  readonly time: number;
  /** Morph target that is at full weight by itself; null where all have the weights of the pose. */
  readonly target: number | null;
}

export interface Proof extends Seen {
  /** Vertices that were compared, and poses of each. */
  readonly vertices: number;
  readonly poses: number;
  /** Vertices whose normals or tangents were compared. */
  readonly directions: number;
  /** Morph targets that were shown. */
  readonly targets: number;
  /** The same of the stored pose alone, and of all clips alone. */
  readonly stored: Seen;
  readonly clips: Seen;
}

/** Nothing differs. */
export const UNSEEN: Seen = { share: 0, where: null, turn: 0, turned: null };

/** The proof of no rig at all. */
export const NOTHING: Proof = {
  ...UNSEEN,
  vertices: 0,
  poses: 0,
  directions: 0,
  targets: 0,
  stored: UNSEEN,
  clips: UNSEEN,
};

/** The larger of two, figure by figure. */
export function worse(a: Seen, b: Seen): Seen {
  const [moved, turned] = [b.share > a.share ? b : a, b.turn > a.turn ? b : a];
  return { share: moved.share, where: moved.where, turn: turned.turn, turned: turned.turned };
}

/** Proofs of several rigs as one. */
export function joined(a: Proof, b: Proof): Proof {
  return {
    ...worse(a, b),
    vertices: a.vertices + b.vertices,
    poses: a.poses + b.poses,
    directions: a.directions + b.directions,
    targets: a.targets + b.targets,
    stored: worse(a.stored, b.stored),
    clips: worse(a.clips, b.clips),
  };
}

/**
 * The proof of all steps together, from the proofs of each: nothing is farther from where it began than the
 * sum of its moves. Null where the steps do not show the same poses, so that this does not follow.
 */
export function summed(steps: readonly Proof[]): Proof | null {
  const [first] = steps;
  if (first === undefined || steps.some((step) => step.poses !== first.poses)) return null;
  const sum = (seenOf: (step: Proof) => Seen): Seen => {
    const seen = steps.map(seenOf);
    return {
      ...seen.reduce(worse),
      share: seen.reduce((total, { share }) => total + share, 0),
      turn: seen.reduce((total, { turn }) => total + turn, 0),
    };
  };
  return {
    ...first,
    ...sum((step) => step),
    stored: sum(({ stored }) => stored),
    clips: sum(({ clips }) => clips),
  };
}
