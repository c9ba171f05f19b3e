import type { RigScene } from '../../draw/scene.js';
import { sceneSkeleton } from '../../draw/scene-skeleton.js';
import { sampleChannel } from '../../measure/pose/clip-sampling.js';
import { turnedAboutLetter } from '../../page/letter-turn.js';
import type { Letter } from '../../rig/letters.js';
import { compose } from '../../rig/mat4.js';
import type { PairSide } from './pair-source.js';

/** The rig of a side with some joints turned by the same angle about the same letter of their own axes. */
export function turnedScene(
  side: PairSide,
  joints: readonly string[],
  letter: Letter,
  degrees: number,
): RigScene {
  const scene = firstRig(side);
  const turned = new Set(joints);
  const names = side.report.rigs[0]?.joints.map(({ name }) => name) ?? [];
  return {
    ...scene,
    // What was measured was measured as bound.
    posed: true,
    nodes: scene.nodes.map((node) =>
      turned.has(names[node.joint] ?? '')
        ? { ...node, local: turnedAboutLetter(node.local, letter, degrees) }
        : node,
    ),
  };
}

/** The rig of a side as a clip has it at a time. Seconds. */
export function sceneAt(side: PairSide, clipName: string, seconds: number): RigScene {
  const scene = firstRig(side);
  const [rig] = side.model.rigs;
  const clip = rig?.clips.find(({ name }) => name === clipName);
  if (rig === undefined || clip === undefined) throw new Error(`no clip is called ${clipName}`);
  const { place } = sceneSkeleton(rig);
  const nodes = [...scene.nodes];
  for (const node of clip.keyed.keys()) {
    const parts = {
      translation: rig.nodes.translation.slice(3 * node, 3 * node + 3),
      rotation: rig.nodes.rotation.slice(4 * node, 4 * node + 4),
      scale: rig.nodes.scale.slice(3 * node, 3 * node + 3),
    };
    for (const channel of clip.channels)
      if (channel.node === node) sampleChannel(channel, seconds, parts[channel.path]);
    const at = place(node);
    const shown = nodes[at];
    if (shown === undefined) continue;
    const local = [...compose(parts.translation, parts.rotation, parts.scale)];
    nodes[at] = { ...shown, local };
  }
  return { ...scene, nodes };
}

function firstRig({ scene }: PairSide): RigScene {
  const [rig] = scene.rigs;
  if (rig === undefined) throw new Error('a file without a rig cannot be posed');
  return rig;
}
