/** Version of the VRM extension that a mapping was read from: `VRMC_vrm` is 1.0, `VRM` is 0.x. */
export type VrmVersion = '1.0' | '0.x';

const MIDDLE = ['hips', 'spine', 'chest', 'upperChest', 'neck', 'head', 'jaw'] as const;

/** What a left and a right bone are called after their side. */
const SIDED = [
  'Eye',
  'UpperLeg',
  'LowerLeg',
  'Foot',
  'Toes',
  'Shoulder',
  'UpperArm',
  'LowerArm',
  'Hand',
  'IndexProximal',
  'IndexIntermediate',
  'IndexDistal',
  'MiddleProximal',
  'MiddleIntermediate',
  'MiddleDistal',
  'RingProximal',
  'RingIntermediate',
  'RingDistal',
  'LittleProximal',
  'LittleIntermediate',
  'LittleDistal',
] as const;

/** The two versions name a thumb differently, so that `ThumbProximal` is not the same joint in both. */
const THUMBS = {
  '1.0': ['ThumbMetacarpal', 'ThumbProximal', 'ThumbDistal'],
  '0.x': ['ThumbProximal', 'ThumbIntermediate', 'ThumbDistal'],
} as const;

export type MiddleBone = (typeof MIDDLE)[number];
export type SidedBone = (typeof SIDED)[number] | (typeof THUMBS)[VrmVersion][number];
export type HumanBone = MiddleBone | `left${SidedBone}` | `right${SidedBone}`;

/**
 * The bones that each version knows, 55 of them: VRM 1.0, `humanoid.md`, List of humanoid bones; VRM
 * 0.x, `README.md`, the `bone` enum of the model's bone mapping.
 */
export const HUMAN_BONES: Readonly<Record<VrmVersion, readonly HumanBone[]>> = {
  '1.0': bonesWith(THUMBS['1.0']),
  '0.x': bonesWith(THUMBS['0.x']),
};

function bonesWith(thumb: readonly SidedBone[]): HumanBone[] {
  return [
    ...MIDDLE,
    ...[...SIDED, ...thumb].flatMap((bone): HumanBone[] => [`left${bone}`, `right${bone}`]),
  ];
}
