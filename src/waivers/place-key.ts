import type { AnchorReport } from '../report/report-types.js';

/** How the path of a joint that is called `*` is written. */
export const STAR_ITSELF = '\\*';

/** Whether a waiver's joint names a place. */
export function isAbout(joint: string | null, { kind, path }: AnchorReport): boolean {
  if (joint === null) return true;
  if (joint === '*') return kind === 'joint';
  return path === (joint === STAR_ITSELF ? '*' : joint);
}

/** Beginnings of places that are written with their kind before the path. */
const WITH_KIND = /^(?:joint|node|mesh|skin|rig|asset):/;

/** How the path of a primitive after the first of its mesh ends. */
const PRIMITIVE = /\/primitive \d+$/;

/**
 * What a ledger calls a place: the path of a joint as it is, since most are joints; anything else with
 * its kind before it, since a mesh and a joint can share a path. A joint whose own name begins like that
 * gets its kind too. Primitives are known by their mesh, since their order in it says nothing.
 */
export function placeKey({ kind, path }: AnchorReport): string {
  if (kind === 'mesh') return `mesh:${path.replace(PRIMITIVE, '')}`;
  return kind === 'joint' && !WITH_KIND.test(path) ? path : `${kind}:${path}`;
}
