// Sources: VRMC_node_constraint 1.0 of vrm-c/vrm-specification (Roll, Aim and Rotation Constraint, Evaluation of
// rotations); three.js (npm `three`) for where nodes stand. The change of each frame is taken from
// the two files as three.js stands them, not from what the mend says of it.
import { Quaternion } from 'three';
import { describe, expect, test } from 'vitest';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { CastName } from '../../fixtures/kit/fault.js';
import { carryExtensions } from '../../src/mend/carry/carry-extensions.js';
import { Editable } from '../../src/mend/file/editable.js';
import { turnToConvention } from '../../src/mend/frames/convention.js';
import { reload } from '../../src/mend/proof/reload.js';
import { turnedFrames } from '../../src/mend/repairs/frames.js';
import { scaleUnit } from '../../src/mend/repairs/scale-unit.js';
import { buildRigs } from '../../src/rig/build-rigs.js';
import { compose } from '../../src/rig/mat4.js';
import { type Applied, applyRepair } from './apply-repair.js';
import { apart, at, extended, type Stood, stand } from './carried.js';
import { constrained, localRotations } from './constrained.js';
import { type Dresser, dressed } from './dressed.js';
import { whyNotCarried } from './why-not-carried.js';

type Kind = 'roll' | 'aim' | 'rotation';

function tie(destination: string, kind: Kind, source: string, axis: string | null, weight = 0.7) {
  return (dresser: Dresser): void => {
    const key = kind === 'roll' ? 'rollAxis' : 'aimAxis';
    const own = { source: dresser.named(source), ...(axis !== null && { [key]: axis }), weight };
    dresser.node(destination).extensions = {
      VRMC_node_constraint: { specVersion: '1.0', constraint: { [kind]: own } },
    };
    dresser.json.extensionsUsed = ['VRMC_node_constraint'];
  };
}

const TURNS = [
  new Quaternion(0.3, 0.1, -0.2, 0.9).normalize(),
  new Quaternion(-0.1, 0.5, 0.3, 0.8).normalize(),
  new Quaternion(0.2, -0.6, 0.4, 0.5).normalize(),
];

/** The largest angle, in radians, between what a constraint shows before and after a mend, in any pose of its source. */
async function shownApart(
  bytes: Uint8Array,
  mended: Uint8Array,
  destination: string,
): Promise<{ apart: number; moved: number }> {
  const [a, b] = [await stand(bytes), await stand(mended)];
  const named = (name: string): number =>
    a.json.nodes?.findIndex((node) => node.name === name) ?? -1;
  const node = named(destination);
  const kinds = at(a.json, 'nodes', node, 'extensions', 'VRMC_node_constraint', 'constraint');
  const source = Number(at(Object.values(kinds as object)[0], 'source'));
  const [restA, restB] = [localRotations(a), localRotations(b)];
  let [worst, moved] = [0, 0];
  for (const turn of TURNS) {
    // The source is posed alike in both: W' = W C, so that q' = P^-1 q C.
    const posed = (restA.get(source) ?? new Quaternion()).clone().multiply(turn);
    a.object(source).quaternion.copy(posed);
    b.object(source).quaternion.copy(sameIn(a, b, source, posed));
    for (const { object } of [a, b]) object(source).updateWorldMatrix(true, true);
    const [own, other] = [constrained(a, node, restA), constrained(b, node, restB)];
    worst = Math.max(worst, apart(sameIn(a, b, node, own), other));
    moved = Math.max(moved, apart(own, restA.get(node) ?? own));
  }
  return { apart: worst, moved };
}

/** What a stored rotation of a node in one file is in the other. */
function sameIn(a: Stood, b: Stood, node: number, rotation: Quaternion): Quaternion {
  const change = (of: number): Quaternion =>
    (a.rest.get(of) ?? new Quaternion())
      .clone()
      .invert()
      .multiply(b.rest.get(of) ?? new Quaternion());
  const parent = [...a.nodes].find(([, object]) => object === a.object(node).parent)?.[0] ?? -1;
  return change(parent).invert().multiply(rotation).multiply(change(node));
}

/** Radians: float32 rotations of both files, several of them one after the other. */
const ALIKE = 5e-6;

const turnedBy = (name: CastName, fault: string, dress: (dresser: Dresser) => void): Uint8Array =>
  extended(name, dress, { faults: [faultNamed(fault)] });

async function convention(bytes: Uint8Array): Promise<Pick<Applied, 'bytes' | 'changes' | 'left'>> {
  const edit = await Editable.fromBytes(bytes);
  const model = buildRigs(await reload(edit.files(), null));
  const mended = turnToConvention({ edit, model }, { index: 0, sign: 1 }, { index: 1, sign: 1 });
  return { ...mended, bytes: edit.files().main };
}

/** Axis that a constraint names. */
async function axisOf(bytes: Uint8Array, node: string, kind: Kind, key: string): Promise<unknown> {
  const { json } = await stand(bytes);
  const index = json.nodes?.findIndex(({ name }) => name === node) ?? -1;
  return at(json, 'nodes', index, 'extensions', 'VRMC_node_constraint', 'constraint', kind, key);
}

describe('a constraint shows what it showed', () => {
  test.each([
    ['flipped-shin', 'heron', 'shin_L', 'aim', 'toe_R', 'PositiveX', 'NegativeX'],
    ['flipped-shin', 'heron', 'shin_L', 'aim', 'toe_R', 'PositiveY', 'PositiveY'],
    ['flipped-shin', 'heron', 'shin_L', 'roll', 'thigh_R', 'X', 'X'],
    ['rings-on-another-axis', 'caterpillar', 'ring_fore_1', 'roll', 'ring_back_1', 'X', 'Y'],
    ['rings-on-another-axis', 'caterpillar', 'ring_fore_1', 'roll', 'ring_back_1', 'Z', 'Z'],
    ['rings-on-another-axis', 'caterpillar', 'ring_fore_2', 'roll', 'ring_fore_3', 'Y', 'X'],
    ['rings-on-another-axis', 'caterpillar', 'ring_fore_2', 'aim', 'rump', 'PositiveX', null],
    ['rings-on-another-axis', 'caterpillar', 'ring_fore_2', 'rotation', 'ring_fore_1', null, null],
    // Not turned itself: only its source's parent and its own are.
    [
      'rings-on-another-axis',
      'caterpillar',
      'ring_fore_3',
      'aim',
      'rump',
      'PositiveX',
      'PositiveX',
    ],
  ] as const)('%s: %s %s by %s with %s', async (fault, cast, node, kind, source, axis, now) => {
    const bytes = turnedBy(cast, fault, tie(node, kind, source, axis));
    const mended = await applyRepair(bytes, turnedFrames);
    expect(mended.left).toEqual([]);
    expect(mended.changes.length).toBeGreaterThan(0);
    const shown = await shownApart(bytes, mended.bytes, node);
    expect(shown.moved).toBeGreaterThan(0.05);
    expect(shown.apart).toBeLessThan(ALIKE);
    const key = kind === 'roll' ? 'rollAxis' : 'aimAxis';
    if (now !== null) expect(await axisOf(mended.bytes, node, kind, key)).toBe(now);
  });

  test.each([
    ['forearm_L', 'roll', 'shin_L', 'Y', 'X'],
    ['forearm_L', 'aim', 'head', 'NegativeZ', null],
    ['forearm_R', 'aim', 'head', 'PositiveY', null],
    ['finger_mid_1_L', 'rotation', 'finger_fore_1_L', null, null],
  ] as const)(
    'in another convention of axes: %s by %s with %s',
    async (node, kind, source, axis, now) => {
      const bytes = extended('marionette', tie(node, kind, source, axis));
      const mended = await convention(bytes);
      expect([mended.left, mended.changes.length]).toEqual([[], 1]);
      const shown = await shownApart(bytes, mended.bytes, node);
      expect(shown.moved).toBeGreaterThan(0.05);
      expect(shown.apart).toBeLessThan(ALIKE);
      if (now !== null) expect(await axisOf(mended.bytes, node, kind, 'rollAxis')).toBe(now);
    },
  );

  test.each(['roll', 'aim', 'rotation'] as const)(
    'where scales are taken off: %s',
    async (kind) => {
      const axis = { roll: 'X', aim: 'NegativeX', rotation: null }[kind];
      const bytes = dressed(
        'heron',
        (puppet) => {
          puppet.joint('neck_mid').scale = [1.5, 1.5, 1.5];
        },
        tie('neck_mid', kind, 'tail_tip', axis),
      );
      const mended = await applyRepair(bytes, scaleUnit);
      expect([mended.left, mended.changes.length]).toEqual([[], 1]);
      const shown = await shownApart(bytes, mended.bytes, 'neck_mid');
      expect(shown.moved).toBeGreaterThan(0.05);
      expect(shown.apart).toBeLessThan(ALIKE);
    },
  );
});

describe('a frame that a constraint cannot follow is left alone with a word', () => {
  test.each([
    [
      'rolled-shin',
      'heron',
      tie('shin_L', 'aim', 'toe_R', 'PositiveX'),
      'a constraint (VRMC_node_constraint) aims the PositiveX of "shin_L", which would be no axis of its new frame',
    ],
    [
      'rolled-shin',
      'heron',
      tie('shin_L', 'roll', 'thigh_R', 'Z'),
      'a constraint (VRMC_node_constraint) rolls "shin_L" about its Z, which would be no axis of its new frame',
    ],
    [
      'flipped-shin',
      'heron',
      tie('foot_L', 'roll', 'foot_R', 'X'),
      'a constraint (VRMC_node_constraint) rolls "foot_L" with "foot_R", but their parents would be turned differently',
    ],
    [
      'flipped-shin',
      'heron',
      tie('foot_L', 'rotation', 'shin_L', null),
      'a constraint (VRMC_node_constraint) gives "foot_L" the turns of "shin_L" in their own frames, which would be turned differently',
    ],
  ] as const)('%s on the %s', async (fault, cast, dress, why) => {
    const bytes = turnedBy(cast, fault, dress);
    const mended = await applyRepair(bytes, turnedFrames);
    expect([mended.changes, mended.left.map((item) => item.why)]).toEqual([[], [why]]);
    expect(Buffer.from(mended.bytes).equals(Buffer.from(bytes))).toBe(true);
  });

  const moved = compose([0, 1, 0], [0, 0, 0, 1], [1, 1, 1]);
  const mirrored = compose([0, 0, 0], [0, 0, 0, 1], [-1, -1, -1]);
  /** A hook that is tied to a weight, both below a beam of their own. */
  const beams = (kind: Kind, axis: object, more: object = {}) => ({
    nodes: [
      { name: 'beam', children: [1] },
      {
        name: 'hook',
        ...more,
        extensions: { VRMC_node_constraint: { constraint: { [kind]: { source: 3, ...axis } } } },
      },
      { name: 'rope', children: [3] },
      { name: 'weight' },
    ],
  });

  test.each([
    [1, moved, 'turns "hook" about its place, which would move'],
    [3, moved, 'aims "hook" at "weight", which would move'],
    [
      1,
      mirrored,
      'aims "hook", whose frame is mirrored, and it is not specified where its axis then points',
    ],
    [3, mirrored, null],
  ])('of node %i, moved or mirrored', (node, frame, why) => {
    const words = whyNotCarried(beams('aim', { aimAxis: 'PositiveX' }), new Map([[node, frame]]));
    expect(words).toBe(why === null ? null : `a constraint (VRMC_node_constraint) ${why}`);
  });

  // X of the hook is Y of its beam, about which that is turned; its Y is not.
  const quarter = [0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];
  test.each([
    ['X', { matrix: quarter }, true],
    ['Y', { matrix: quarter }, false],
    ['X', { rotation: [0, 0, Math.SQRT1_2, Math.SQRT1_2] }, true],
    ['X', {}, false],
    ['Y', {}, true],
  ])('with rollAxis %s of a node at %j', (rollAxis, rest, follows) => {
    const turned = compose([0, 0, 0], [0, 0.6, 0, 0.8], [1, 1, 1]);
    const why = whyNotCarried(beams('roll', { rollAxis }, rest), new Map([[0, turned]]));
    expect(why === null).toBe(follows);
  });

  test('a rotation follows two frames that are turned alike, though one is mirrored as well', () => {
    const alike = (degreesOfOther: number): string | null => {
      const half = (degreesOfOther * Math.PI) / 360;
      const frames = new Map([
        [1, compose([0, 0, 0], [0, 0, Math.SQRT1_2, Math.SQRT1_2], [-2, -2, -2])],
        [3, compose([0, 0, 0], [0, 0, Math.sin(half), Math.cos(half)], [2, 2, 2])],
      ]);
      return whyNotCarried(beams('rotation', {}), frames);
    };
    expect(alike(90)).toBeNull();
    expect(alike(-90)).toContain('turned differently');
  });

  test('a roll follows a frame that is turned and mirrored, of which it takes the turn', async () => {
    const edit = await Editable.fromBytes(extended('heron', tie('shin_L', 'roll', 'toe_R', 'X')));
    const node = edit.json.nodes?.findIndex(({ name }) => name === 'shin_L') ?? -1;
    const frame = compose([0, 0, 0], [0, 0, Math.SQRT1_2, Math.SQRT1_2], [-2, -2, -2]);
    carryExtensions(edit, new Map([[node, frame]]));
    expect(await axisOf(edit.files().main, 'shin_L', 'roll', 'rollAxis')).toBe('Y');
  });

  test('and what is refused would have shown something else', async () => {
    const bare = await applyRepair(
      turnedBy('heron', 'flipped-shin', () => undefined),
      turnedFrames,
    );
    for (const dress of [
      tie('foot_L', 'roll', 'foot_R', 'X'),
      tie('foot_L', 'rotation', 'shin_L', null),
    ]) {
      const bytes = turnedBy('heron', 'flipped-shin', dress);
      // The mended file without the constraint, given it as it was.
      const { json } = await stand(bytes);
      const node = json.nodes?.findIndex(({ name }) => name === 'foot_L') ?? -1;
      const edit = await Editable.fromBytes(bare.bytes);
      Object.assign(edit.json.nodes?.[node] ?? {}, {
        extensions: at(json, 'nodes', node, 'extensions'),
      });
      expect((await shownApart(bytes, edit.files().main, 'foot_L')).apart).toBeGreaterThan(0.05);
    }
  });
});
