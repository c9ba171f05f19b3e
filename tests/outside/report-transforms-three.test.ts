// Source: three.js (npm `three`), which reads glTF with code of its own: `GLTFLoader`, `Skeleton`,
// `Object3D.matrixWorld` and
// `KeyframeTrack`. The two hands come from npm `@webxr-input-profiles/assets`, profile generic-hand;
// nobody here made them.
import {
  InterpolateDiscrete,
  type KeyframeTrack,
  Matrix4,
  type Object3D,
  PropertyBinding,
  Vector3,
} from 'three';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { makeReport } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import { writeJson } from '../../src/report/json.js';
import { parseReport } from '../../src/report/read-report.js';
import type { RigReport } from '../../src/report/report-types.js';
import { HAND_SIDES, handBytes } from '../support/hands.js';
import { type LoadedScene, loadInThree } from '../support/three-scene.js';

/** Two numbers are the same when this near. Relative to the rig's size for places. */
const SAME = 1e-5;
/** Degrees. */
const SAME_ANGLE = 1e-3;
/** Seconds: times are stored as float32. */
const SAME_TIME = 1e-6;

const entries: readonly (readonly [string, () => Uint8Array])[] = [
  ...castNames.map((name) => [`the ${name}`, () => buildGlb(name)] as const),
  [
    'the mule in centimetres, aim +X',
    () =>
      buildGlb('mule', {
        convention: { aim: '+X', up: '+Y', mirror: 'negate-all' },
        unitScale: 100,
      }),
  ],
  [
    'the marionette, stored in a wave',
    () => buildGlb('marionette', { faults: [faultNamed('stored-in-a-wave')] }),
  ],
  ['the heron under a turned holder', () => turnedHolder()],
  ...HAND_SIDES.map((side) => [`the ${side} hand`, () => handBytes(side)] as const),
];

function turnedHolder(): Uint8Array {
  const fault = faultNamed('turned-holder');
  return buildGlb(fault.puppet, { faults: [fault] });
}

describe.each(entries)('%s as its report tells it', (name, make) => {
  /** Their joints are all siblings, and they have no clips. */
  const isHand = name.endsWith('hand');

  let rig: RigReport;
  let scene: LoadedScene;

  beforeAll(async () => {
    const bytes = make();
    const settings = defaultSettings(rules);
    const asset = await checkAssetBytes(bytes, { settings, transforms: true });
    // By way of the text, as a program has it.
    const report = parseReport(writeJson(makeReport([asset], settings)), 'the report');
    const [only] = report.assets[0]?.rigs ?? [];
    if (only === undefined) throw new Error('there is no rig');
    rig = only;
    scene = await loadInThree(bytes);
  });

  it('has every joint at rest where three.js has it, and stored as there', () => {
    for (const { node, transforms } of rig.joints) {
      const bone = objectOf(scene, node);
      expect(apart(transforms?.rest, bone.matrixWorld.elements, rig.size)).toBeLessThan(SAME);
      const { translation, rotation, scale } = transforms?.local ?? {};
      const bonePlace = bone.position.toArray();
      expect(farthest(translation, bonePlace)).toBeLessThan(SAME * rig.size);
      expect(farthest(scale, bone.scale.toArray())).toBeLessThan(SAME);
      // Both signs are one rotation.
      const turn = bone.quaternion.toArray();
      const other = turn.map((value) => -value);
      expect(Math.min(farthest(rotation, turn), farthest(rotation, other))).toBeLessThan(SAME);
    }
  });

  it('has all joints bound against each other as the skeleton of three.js', () => {
    const { bones, boneInverses } = skeletonOf(scene);
    const bindOf = bones.map((bone) => bindIn(rig, scene, bone));
    const [first, firstInverse] = [bindOf[0], boneInverses[0]];
    if (first === undefined || firstInverse === undefined) throw new Error('there are no bones');
    expect(bones.length).toBeGreaterThan(2);
    boneInverses.forEach((inverse, at) => {
      // B_0 B_j^-1, which no placing of the whole changes.
      const theirs = firstInverse.clone().multiply(inverse.clone().invert());
      const ours = first
        .clone()
        .invert()
        .multiply(bindOf[at] ?? new Matrix4());
      expect(apart(ours.elements, theirs.elements, rig.size)).toBeLessThan(SAME);
    });
  });

  it('has them bound where one of them stands', () => {
    const still = skeletonOf(scene).bones.filter((bone) => {
      const { elements } = bindIn(rig, scene, bone);
      return apart(elements, bone.matrixWorld.elements, rig.size) < SAME;
    });
    expect(still.length).toBeGreaterThan(0);
  });

  it('misses its aims by the angle that its own matrices show', () => {
    let measured = 0;
    for (const { transforms } of rig.joints) {
      const { aim, aimJoint, miss } = transforms?.frame ?? {};
      const target = rig.joints[aimJoint ?? -1];
      if (aim == null || target === undefined || miss == null) continue;
      const bind = new Matrix4().fromArray([...(transforms?.bind ?? [])]);
      const axis = new Vector3().setFromMatrixColumn(bind, 'XYZ'.indexOf(aim.slice(1)));
      if (aim.startsWith('-')) axis.negate();
      const bone = new Vector3(...target.place).sub(new Vector3().setFromMatrixPosition(bind));
      const angle = (axis.angleTo(bone) * 180) / Math.PI;
      // A joint with a fan below may aim anywhere into it.
      expect(miss).toBeLessThan(angle + SAME_ANGLE);
      if (Math.abs(miss - angle) < SAME_ANGLE) measured++;
    }
    if (!isHand) expect(measured).toBeGreaterThan(2);
  });

  it('has the clips of three.js, with their channels and their times', () => {
    const { clipList = [] } = rig;
    expect(clipList.length > 0).toBe(!isHand);
    expect(clipList.map(({ name }) => name)).toEqual(scene.clips.map(({ name }) => name));
    for (const [at, { channels, last }] of clipList.entries()) {
      const clip = scene.clips[at];
      expect(last).toBeCloseTo(clip?.duration ?? Number.NaN, 6);
      const theirs = (clip?.tracks ?? []).map((track) => {
        const { nodeName, propertyName } = PropertyBinding.parseTrackName(track.name);
        const { times } = track;
        const when = [times.length, seconds(times[0]), seconds(times.at(-1))];
        return [nodeName, PATHS[propertyName], interpolationOf(track), ...when];
      });
      const ours = channels.map(({ node, path, interpolation, keys, first, last }) => {
        const when = [keys, seconds(first), seconds(last)];
        return [objectOf(scene, node).name, path, interpolation, ...when];
      });
      expect(ours.map(String).sort()).toEqual(theirs.map(String).sort());
    }
  });
});

const PATHS: Readonly<Record<string, string>> = {
  position: 'translation',
  quaternion: 'rotation',
  scale: 'scale',
};

/** For cubic splines the loader gives a track a maker of its own, and three.js knows no name. */
function interpolationOf(track: KeyframeTrack): string {
  const own = Reflect.get(track, 'createInterpolant');
  if (Reflect.get(own, 'isInterpolantFactoryMethodGLTFCubicSpline') === true) return 'CUBICSPLINE';
  return track.getInterpolation() === InterpolateDiscrete ? 'STEP' : 'LINEAR';
}

function seconds(time: number | null | undefined): string {
  return (Math.round((time ?? Number.NaN) / SAME_TIME) * SAME_TIME).toFixed(6);
}

function objectOf(scene: LoadedScene, node: number): Object3D {
  const found = scene.nodes.get(node);
  if (found === undefined) throw new Error(`three.js has no node ${node}`);
  return found;
}

function skeletonOf({ meshes }: LoadedScene) {
  const [mesh] = meshes;
  if (mesh === undefined) throw new Error('three.js has no mesh');
  return mesh.object.skeleton;
}

/** Where the report has a bone of three.js in the bind pose. */
function bindIn(rig: RigReport, scene: LoadedScene, bone: Object3D): Matrix4 {
  const found = rig.joints.find(({ node }) => scene.nodes.get(node) === bone);
  return new Matrix4().fromArray([...(found?.transforms?.bind ?? [])]);
}

/** Largest difference of two matrices: of axes by their own size, of places by the rig's. */
function apart(a: readonly number[] | undefined, b: readonly number[], size: number): number {
  const axes = (all: readonly number[]): number[] => all.filter((_, at) => at < 12);
  const unit = Math.max(...axes(b).map(Math.abs));
  const places = farthest(a?.slice(12), b.slice(12)) / size;
  return Math.max(farthest(a && axes(a), axes(b)) / unit, places);
}

function farthest(a: readonly number[] | undefined, b: readonly number[]): number {
  return Math.max(...b.map((value, at) => Math.abs(value - (a?.[at] ?? Number.NaN))));
}
