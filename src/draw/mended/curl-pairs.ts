import { type CurlNames, curlNames } from '../curl-picture.js';
import { type CurlView, roleOf, type Turn, viewCurl } from '../curl-view.js';
import type { SceneChain } from '../scene.js';
import type { RigPair } from './rig-pair.js';

/** One chain curled before and after a mend, about the same axis of its convention. */
export interface CurlPair {
  /** What it is called by on each side. */
  readonly names: readonly [before: CurlNames, after: CurlNames];
  readonly before: CurlView;
  /** Looked at from where `before` is. */
  readonly after: CurlView;
}

/** Chains of a rig that are shown, those that strayed most before. */
const MOST = 12;
/** A change of how far a chain leaves its plane that is less cannot be seen. Share of its length. */
const LEAST_CHANGE = 0.002;

/** The chains with a changed joint that curl otherwise after the mend. */
export function curlPairs({ sides, changed }: RigPair): CurlPair[] {
  const [before, after] = sides;
  const indexAfter = jointsAfter({ sides });
  const touched = new Set(changed.map((joint) => joint.before));
  const found = before.scene.chains.flatMap((chain) => {
    if (!chain.joints.some((joint) => touched.has(joint))) return [];
    const now = sameChain(
      chain.joints.map((joint) => indexAfter[joint] ?? -1),
      after.scene.chains,
    );
    const own = viewCurl(chain);
    const then = now && own && viewCurl(now, sameTurn(chain, own, now));
    if (!own || !then || Math.abs(own.drift - then.drift) <= LEAST_CHANGE) return [];
    const nameOf = (joint: number) => before.report.joints[joint]?.name;
    const names = [
      curlNames(own, chain.joints, nameOf),
      curlNames(then, now.joints, (joint) => after.report.joints[joint]?.name),
    ] as const;
    return [{ names, before: own, after: { ...then, sights: own.sights } }];
  });
  return found.sort((a, b) => b.before.drift - a.before.drift).slice(0, MOST);
}

/** About what the letter was before: a mend can give the up axis to another letter. */
function sameTurn(chain: SceneChain, { letter, degrees }: Turn, now: SceneChain): Turn {
  const role = roleOf(chain, letter);
  return { letter: role === 'aim' ? letter : now.curl.letters[role], degrees };
}

/** The joint after of each joint before, -1 where it is none. */
export function jointsAfter({ sides }: Pick<RigPair, 'sides'>): number[] {
  const [before, after] = sides;
  const ofNode = new Map(after.report.joints.map(({ node }, joint) => [node, joint]));
  return before.report.joints.map(({ node }) => ofNode.get(node) ?? -1);
}

/** The chain with most of some joints, and more than half; a mend can reverse, split or lengthen one. */
function sameChain(joints: readonly number[], chains: readonly SceneChain[]): SceneChain | null {
  const shared = chains.map(
    (chain) => chain.joints.filter((joint) => joints.includes(joint)).length,
  );
  const most = Math.max(0, ...shared);
  return 2 * most > joints.length ? (chains[shared.indexOf(most)] ?? null) : null;
}
