import { deserialize, serialize } from 'node:v8';
import type { AssetReport, JointReport, RigReport } from '../report/report-types.js';

/**
 * A report on its way between processes. Its rigs are bytes until somebody asks for them: reading
 * them would keep the process that gathers all reports from the core of one that checks, and what
 * tells of faults alone has no use for those of a sound asset.
 */
export type PackedReport = Omit<AssetReport, 'rigs'> & {
  /** Rigs as the engine writes them, their joints as columns: those are most of a report. */
  readonly rigs: Uint8Array;
};

type PackedRig = Omit<RigReport, 'joints'> & { readonly columns: JointColumns };

/** One entry a joint, three in `places`. */
interface JointColumns {
  readonly names: readonly string[];
  readonly paths: readonly string[];
  readonly parents: Int32Array;
  readonly nodes: Int32Array;
  readonly places: Float64Array;
  readonly movesSkin: Uint8Array;
  readonly skinShares: Float64Array;
}

export function packReport(report: AssetReport): PackedReport {
  return {
    ...report,
    rigs: serialize(
      report.rigs.map(({ joints, ...rig }): PackedRig => ({ ...rig, columns: columnsOf(joints) })),
    ),
  };
}

/** The report again. Its rigs, and the joints of each, are made when they are first asked for. */
export function unpackReport({ rigs, ...packed }: PackedReport): AssetReport {
  let made: readonly RigReport[] | null = null;
  return {
    ...packed,
    get rigs() {
      // The bytes are what `packReport` wrote.
      made ??= (deserialize(rigs) as readonly PackedRig[]).map(unpackRig);
      return made;
    },
  };
}

function unpackRig({ columns, ...rig }: PackedRig): RigReport {
  let made: readonly JointReport[] | null = null;
  return {
    ...rig,
    get joints() {
      made ??= jointsOf(columns);
      return made;
    },
  };
}

function columnsOf(joints: readonly JointReport[]): JointColumns {
  return {
    names: joints.map(({ name }) => name),
    paths: joints.map(({ path }) => path),
    parents: Int32Array.from(joints, ({ parent }) => parent),
    nodes: Int32Array.from(joints, ({ node }) => node),
    places: Float64Array.from(joints.flatMap(({ place }) => [...place])),
    movesSkin: Uint8Array.from(joints, ({ movesSkin }) => (movesSkin ? 1 : 0)),
    skinShares: Float64Array.from(joints, ({ skinShare }) => skinShare),
  };
}

function jointsOf(columns: JointColumns): JointReport[] {
  const { names, paths, parents, nodes, places, movesSkin, skinShares } = columns;
  return names.map((name, joint) => ({
    name,
    path: paths[joint] ?? '',
    parent: parents[joint] ?? -1,
    node: nodes[joint] ?? -1,
    place: [places[3 * joint] ?? 0, places[3 * joint + 1] ?? 0, places[3 * joint + 2] ?? 0],
    movesSkin: movesSkin[joint] === 1,
    skinShare: skinShares[joint] ?? 0,
  }));
}
