import { axisName, type Facts, type WantedOfRig } from '../../measure/facts.js';
import { size } from '../../measure/geometry/bind-mesh.js';
import { heightOf } from '../../measure/geometry/height.js';
import type { MirrorScheme } from '../../measure/mirror-schemes.js';
import { isEndTip } from '../../measure/names/sides.js';
import { type Conventions, conventions } from '../../measure/skeleton/conventions.js';
import { isNameOnly, mirror } from '../../measure/skeleton/mirror.js';
import { pairs } from '../../measure/skeleton/pairs.js';
import { skinMass } from '../../measure/skin/skin-mass.js';
import type { Rig, RigModel } from '../../rig/types.js';

/** What a standard can be made from, as one approved rig shows it. */
export interface RigSeen {
  /** The file, with the name of the rig where there are several in it. */
  readonly rig: string;
  readonly frames: Conventions['kind'];
  /** The aim axis of the middle, where frames are laid along bones. */
  readonly aim: string | null;
  /** The up axis, where level bones show one. */
  readonly up: string | null;
  /** How right frames mirror left ones; null where frames are not laid along bones, or no pair shows it. */
  readonly mirror: MirrorScheme | 'no common scheme' | null;
  /** Diagonal of the bind-posed mesh, in units of the file. */
  readonly size: number;
  /** Extent of the bind-posed mesh upwards, in units of the file; 0 without a mesh. */
  readonly height: number;
  /** Whether it is stored in another pose than it was bound in. */
  readonly isPosed: boolean;
  /** Names of joints, each once. */
  readonly names: readonly string[];
  /** Those that tell a side, without tips, which have the side of their parent. */
  readonly sided: readonly string[];
  readonly clips: readonly string[];
  readonly joints: number;
  readonly tops: number;
  /** Joints of its largest skin. */
  readonly skinJoints: number;
  /** Joints that move one vertex, at the most. */
  readonly influences: number;
}

/**
 * Looks at the rigs of one asset.
 *
 * @param file The asset, as people know it.
 * @param wanted The object of the settings that the asset is checked with, so that measures are taken once.
 */
export function seeRigs(model: RigModel, file: string, wanted: WantedOfRig): RigSeen[] {
  return model.rigs.map((rig) => seeRig({ rig, wanted }, rigLabel(model.rigs, rig, file)));
}

/** How a rig is named to people: by its file, unless there are several in it. */
export function rigLabel(rigs: readonly Rig[], rig: Rig | undefined, file: string): string {
  return rigs.length > 1 && rig !== undefined ? `${file} "${rig.name}"` : file;
}

function seeRig(facts: Facts, label: string): RigSeen {
  const { joints, skins, clips } = facts.rig;
  const { kind, aim, up, upKnown } = conventions(facts);
  const { named } = pairs(facts);
  const { scheme, pairs: compared } = mirror(facts);
  const isAimed = kind === 'aimed';
  const isUnclear = scheme !== null && isNameOnly(facts, scheme);
  const given = joints.names.filter((_, joint) => joints.named[joint]);
  return {
    rig: label,
    frames: kind,
    aim: isAimed && aim !== null ? axisName(aim.middle) : null,
    up: isAimed && upKnown && up !== null ? axisName(up) : null,
    mirror: isAimed && compared.length > 0 && !isUnclear ? (scheme ?? 'no common scheme') : null,
    size: size(facts),
    height: facts.rig.parts.length === 0 ? 0 : heightOf(facts),
    isPosed: false,
    names: [...new Set(given)],
    sided: joints.names.filter((_, joint) => named[joint] != null && !isEndTip(joints, joint)),
    clips: [...new Set(clips.map(({ name }) => name))],
    joints: joints.count,
    tops: joints.parent.filter((parent) => parent === -1).length,
    skinJoints: Math.max(0, ...skins.map(({ jointOfSlot }) => jointOfSlot.length)),
    influences: Math.max(
      0,
      ...skinMass(facts).weightFaults.map(({ crowds }) => crowds.findLastIndex((n) => n > 0)),
    ),
  };
}
