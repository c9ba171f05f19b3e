import { jointsAfter } from '../../draw/mended/curl-pairs.js';
import type { RigPair, RigSide } from '../../draw/mended/rig-pair.js';
import type { RigScene } from '../../draw/scene.js';
import { packScene } from '../pack.js';
import type { PageRig } from '../page-data.js';
import type { PageSide, PooledPairs } from './pair-data.js';

/**
 * Letters of JSON that the clips of a rig may take on a side: clips are what one looks at here, so it is
 * more than on the page of a report.
 */
const LETTERS = 500_000;

/**
 * What the viewer of a mend needs, as JSON. What both sides have alike, such as most of a mesh, is in it
 * once: a mend hardly ever changes a vertex, and a page of two meshes would be twice as large.
 */
export async function packPairs(pairs: readonly RigPair[]): Promise<string> {
  const scenes = ([0, 1] as const).map((side) => ({
    rigs: pairs.map(({ sides }) => withClipIndices(sides[side])),
  }));
  const [before, after] = await Promise.all(scenes.map((scene) => packScene(scene, '', LETTERS)));
  const packed = pairs.map((pair, at) => {
    const [old, now] = sameClips(before?.rigs[at], after?.rigs[at]);
    return {
      sides: [sideOf(old, pair.sides[0]), sideOf(now, pair.sides[1])],
      answers: jointsAfter(pair),
      changed: pair.changed.map((joint) => [joint.before, joint.after]),
    };
  });
  return JSON.stringify(pooled(packed));
}

/** The index in the file says which clip is which: names need not be unique. */
function withClipIndices({ scene, rig }: RigSide): RigScene {
  const clips = scene.clips.map((clip, at) => ({ ...clip, index: rig.clips[at]?.index ?? -1 }));
  return { ...scene, clips };
}

function sideOf(rig: PageRig, { report }: RigSide): PageSide {
  return { rig, joints: report.joints.map(({ name, movesSkin }) => ({ name, movesSkin })) };
}

/** Both rigs with the clips that both have: what is left out of one for its size is left out of both. */
function sameClips(before?: PageRig, after?: PageRig): readonly [PageRig, PageRig] {
  if (before === undefined || after === undefined) throw new Error('a rig has two sides');
  const indices = (rig: PageRig): Set<unknown> => new Set(rig.clips.map(({ index }) => index));
  const [old, now] = [indices(before), indices(after)];
  return [
    { ...before, clips: before.clips.filter(({ index }) => now.has(index)) },
    { ...after, clips: after.clips.filter(({ index }) => old.has(index)) },
  ];
}

/** Shorter texts are not worth an index. Letters. */
const LEAST_POOLED = 64;

function pooled(pairs: unknown): PooledPairs {
  const indices = new Map<string, number>();
  const replaced: unknown = JSON.parse(JSON.stringify(pairs), (key, value: unknown) => {
    if (key !== 'base64' || typeof value !== 'string' || value.length < LEAST_POOLED) return value;
    const index = indices.get(value) ?? indices.size;
    indices.set(value, index);
    return index;
  });
  return { pool: [...indices.keys()], pairs: replaced };
}
