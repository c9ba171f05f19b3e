import type { PlaceReport } from '../report/report-types.js';

/** Kinds of places that are written with their kind before the path. */
const KINDED = /^(?:joint|node|mesh|skin|rig|asset):/;

/** How the path of a primitive after the first of its mesh ends. */
const PRIMITIVE = /\/primitive \d+$/;

/**
 * What a ledger calls a place: the path of a joint as it is, since most are; anything else with its
 * kind before it, since a mesh and a joint can share a path. A joint whose own name begins like that
 * gets its kind too. Primitives are told by their mesh, since their order in it says nothing.
 */
export function placeKey({ kind, path }: Pick<PlaceReport, 'kind' | 'path'>): string {
  if (kind === 'mesh') return `mesh:${path.replace(PRIMITIVE, '')}`;
  return kind === 'joint' && !KINDED.test(path) ? path : `${kind}:${path}`;
}
