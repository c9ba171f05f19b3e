import { edgesOf, Groups, type ZoneEdges } from './bend-edges.js';

/**
 * The zone's pieces that close into solids and hang between the joint and those above it. A piece
 * is closed over each of its borders, the ring where the skin goes on unbent (or stops), by
 * triangles to the middle of the ring.
 */
export interface ZoneSolids {
  readonly count: number;
  /** Per triangle: its solid, -1 where its piece closes into none. */
  readonly ofTriangle: Int32Array;
  /** Two vertices a border edge, run through as its triangle does, and the ring it belongs to. */
  readonly borders: Uint32Array;
  readonly ringOf: Uint32Array;
  /** Per ring: its solid, -1 for none, and how many border edges it has. */
  readonly solidOfRing: Int32Array;
  readonly edgesOfRing: Uint32Array;
}

export interface ZoneSkin {
  /** Per vertex: the summed share of the joint and all joints below it, 0 to 1. */
  readonly shares: Float64Array;
  /** Per blended vertex: the summed share of the joints above; 0 for the others. */
  readonly above: Float64Array;
  /** Three vertices a triangle. */
  readonly corners: Uint32Array;
}

/**
 * A share nearer to none or all than this counts as that: dabs left over from painting would make
 * whole limbs part of the zone, and thin out what happens at the joint.
 */
export const NEXT_TO_NOTHING = 0.01;
/**
 * A ring closes its piece when its vertices move alike: shares within this. The ring where the zone
 * meets unbent skin does; the rim of a card, which runs from unbent to turned, does not.
 */
const ALIKE = 0.1;
/** Vertices at one place whose shares differ by more tear apart when the joint turns. */
const TORN = 0.02;
/**
 * Of what stays still in a piece, at least this share hangs on joints above. Skin that runs over to
 * another branch (the web of a thumb, a crotch, a hoof with a control of its own) is pinched by a
 * bend towards it and drawn out by one away from it, however well joint and weights are set.
 */
const MOSTLY_ABOVE = 0.9;

/** Whether a vertex neither stays still nor turns along. */
export function isBlended(share: number): boolean {
  return share >= NEXT_TO_NOTHING && share <= 1 - NEXT_TO_NOTHING;
}

/** Finds the edges of a zone and its solids; vertices at one place have one number in `nodes`. */
export function closeZone(
  skin: ZoneSkin,
  nodes: Uint32Array,
  nodeCount: number,
): { edges: Uint32Array; solids: ZoneSolids } {
  const { corners, shares } = skin;
  const { edges, excess } = edgesOf(corners, nodes);
  const pieces = new Groups(nodeCount);
  for (let i = 0; i < edges.length; i += 2)
    pieces.join(nodes[edges[i] ?? 0] ?? 0, nodes[edges[i + 1] ?? 0] ?? 0);
  const unfit = new Uint8Array(nodeCount);
  const welded = { nodes, pieces, unfit };
  leaveUnfit(welded, skin);
  const { borders, ringOf, pieceOfRing } = ringsOf({ edges, excess }, welded, shares);
  const solidOfPiece = new Int32Array(nodeCount).fill(-1);
  const ofTriangle = new Int32Array(corners.length / 3);
  let count = 0;
  for (let triangle = 0; triangle < ofTriangle.length; triangle++) {
    const piece = pieces.leaderOf(nodes[corners[3 * triangle] ?? 0] ?? 0);
    if (unfit[piece] === 0 && solidOfPiece[piece] === -1) solidOfPiece[piece] = count++;
    ofTriangle[triangle] = solidOfPiece[piece] ?? -1;
  }
  const edgesOfRing = new Uint32Array(pieceOfRing.length);
  for (const ring of ringOf) edgesOfRing[ring] = (edgesOfRing[ring] ?? 0) + 1;
  const solidOfRing = Int32Array.from(pieceOfRing, (piece) => solidOfPiece[piece] ?? -1);
  return { edges, solids: { count, ofTriangle, borders, ringOf, solidOfRing, edgesOfRing } };
}

/** The place of each vertex, the connected pieces, and 1 for pieces that close into no solid. */
interface Welded {
  readonly nodes: Uint32Array;
  readonly pieces: Groups;
  readonly unfit: Uint8Array;
}

/** Leaves out pieces that tear, hang on other branches, or have no blended vertex: rigid ones. */
function leaveUnfit({ nodes, pieces, unfit }: Welded, skin: ZoneSkin): void {
  const first = new Float64Array(unfit.length).fill(-1);
  const still = new Float64Array(unfit.length);
  const above = new Float64Array(unfit.length);
  for (let vertex = 0; vertex < nodes.length; vertex++) {
    const node = nodes[vertex] ?? 0;
    const share = skin.shares[vertex] ?? 0;
    const piece = pieces.leaderOf(node);
    if ((first[node] ?? -1) < 0) first[node] = share;
    else if (Math.abs(share - (first[node] ?? 0)) > TORN) unfit[piece] = 1;
    if (!isBlended(share)) continue;
    still[piece] = (still[piece] ?? 0) + 1 - share;
    above[piece] = (above[piece] ?? 0) + (skin.above[vertex] ?? 0);
  }
  still.forEach((total, piece) => {
    if (!((above[piece] ?? 0) > 0 && (above[piece] ?? 0) >= MOSTLY_ABOVE * total)) unfit[piece] = 1;
  });
}

/** Gathers the border edges into rings, and leaves out the pieces whose rings do not move alike. */
function ringsOf(
  { edges, excess }: ZoneEdges,
  { nodes, pieces, unfit }: Welded,
  shares: Float64Array,
): { borders: Uint32Array; ringOf: Uint32Array; pieceOfRing: number[] } {
  const rings = new Groups(unfit.length);
  const borders: number[] = [];
  excess.forEach((times, edge) => {
    const [from, to] = [edges[2 * edge] ?? 0, edges[2 * edge + 1] ?? 0];
    for (let k = 0; k < Math.abs(times); k++)
      borders.push(...(times > 0 ? [from, to] : [to, from]));
    if (times !== 0) rings.join(nodes[from] ?? 0, nodes[to] ?? 0);
  });
  const numbers = new Map<number, number>();
  const pieceOfRing: number[] = [];
  const [least, most]: [number[], number[]] = [[], []];
  const ringOf = new Uint32Array(borders.length / 2);
  borders.forEach((vertex, i) => {
    const node = nodes[vertex] ?? 0;
    const leader = rings.leaderOf(node);
    const ring = numbers.get(leader) ?? numbers.size;
    if (ring === numbers.size) {
      numbers.set(leader, ring);
      pieceOfRing.push(pieces.leaderOf(node));
    }
    ringOf[i >> 1] = ring;
    const share = shares[vertex] ?? 0;
    least[ring] = Math.min(least[ring] ?? Infinity, share);
    most[ring] = Math.max(most[ring] ?? -Infinity, share);
  });
  pieceOfRing.forEach((piece, ring) => {
    if ((most[ring] ?? 0) - (least[ring] ?? 0) > ALIKE) unfit[piece] = 1;
  });
  return { borders: Uint32Array.from(borders), ringOf, pieceOfRing };
}
