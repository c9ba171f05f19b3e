import type { LikedRig, LikeReport, UnlikeRig } from '../../report/like-report.js';
import type { AssetReport } from '../../report/report-types.js';
import type { Faulty } from '../faulty-places.js';

/** How a submission is like the model of its class. */
export interface AgainstModel {
  /** The model's file, as the teacher knows it. */
  readonly model: string;
  /** Files with a rig that has the mesh of the model. */
  readonly files: readonly LikedFile[];
  /** Rigs of the model whose mesh no rig of the submission has, where another rig of the model is there. */
  readonly unlike: readonly UnlikeRig[];
}

export interface LikedFile {
  readonly path: string;
  readonly rigs: readonly LikedRig[];
}

/**
 * Puts together how the files of a submission are like the model; null where none was compared.
 *
 * @param likes Of each of the assets; null for one that was not compared.
 * @param rig The one rig that is marked; null for all. It has to be like one rig of the model alone.
 */
export function againstModel(
  assets: readonly AssetReport[],
  likes: readonly (LikeReport | null)[],
  rig: number | null = null,
): AgainstModel | null {
  const known = likes.filter((like) => like !== null);
  const [first] = known;
  if (first === undefined) return null;
  const files = assets.flatMap(({ path }, at): LikedFile[] => {
    const rigs = likes[at]?.rigs.filter((each) => rig === null || each.rig === rig) ?? [];
    return rigs.length === 0 ? [] : [{ path, rigs }];
  });
  const there = new Set(files.flatMap(({ rigs }) => rigs.map(({ of }) => of)));
  const unlike =
    rig !== null || there.size === 0 ? [] : first.unlike.filter(({ of }) => !there.has(of));
  return { model: first.model, files, unlike };
}

/**
 * Rigs of the model that a submission does not have, although it has another one of the model. Where as
 * many of its rigs were not compared, they may be these, and a person looks at them already.
 *
 * @param whole All of the submission against the model.
 * @param each The same of each of its rigs.
 */
export function missingAmong(
  whole: AgainstModel | null,
  each: readonly (AgainstModel | null)[],
): readonly UnlikeRig[] {
  const unlike = whole?.unlike ?? [];
  const open = each.filter((against) => against === null || against.files.length === 0).length;
  return unlike.length > open ? unlike : [];
}

/** What of a file is at fault against the model: each missing joint, and each out of place. */
export function faultyAgainst({ rigs }: LikedFile): Faulty[] {
  return rigs.flatMap(({ faults }) =>
    faults.flatMap((fault): Faulty[] =>
      Array.from({ length: fault.kind === 'missing' ? fault.joints.length : 1 }, () => ({
        kind: 'joint',
        level: fault.level,
      })),
    ),
  );
}

/** Why a person should look: no rig has the mesh of the model, so nothing was compared. */
export function lookAtModel(against: AgainstModel | null): string[] {
  if (against === null || against.files.length > 0) return [];
  return [`it was not compared with ${against.model}: ${NO_MESH}`];
}

export const NO_MESH = 'no rig in it has the mesh of the model';
