/** Version of the VRM extension that a mapping was read from: `VRMC_vrm` is 1.0, `VRM` is 0.x. */
export type VrmVersion = '1.0' | '0.x';

const MIDDLE = ['hips', 'spine', 'chest', 'upperChest', 'neck', 'head', 'jaw'] as const;

// What a left and a right bone are called after their side.
const LEG = ['UpperLeg', 'LowerLeg', 'Foot', 'Toes'] as const;
const ARM = ['Shoulder', 'UpperArm', 'LowerArm', 'Hand'] as const;
const FINGERS = ['Index', 'Middle', 'Ring', 'Little'] as const;
const FINGER_BONES = ['Proximal', 'Intermediate', 'Distal'] as const;

/** The two versions name a thumb differently, so that `ThumbProximal` is not the same joint in both. */
const THUMBS = {
  '1.0': ['ThumbMetacarpal', 'ThumbProximal', 'ThumbDistal'],
  '0.x': ['ThumbProximal', 'ThumbIntermediate', 'ThumbDistal'],
} as const;

type FingerBone = `${(typeof FINGERS)[number]}${(typeof FINGER_BONES)[number]}`;
type ThumbBone = (typeof THUMBS)[VrmVersion][number];
type SidedBone = 'Eye' | (typeof LEG)[number] | (typeof ARM)[number] | FingerBone | ThumbBone;
export type HumanBone = (typeof MIDDLE)[number] | `left${SidedBone}` | `right${SidedBone}`;

/**
 * The bones that each version knows, 55 of them: VRM 1.0, `humanoid.md`, List of humanoid bones; VRM
 * 0.x, `README.md`, the `bone` enum of the model's bone mapping.
 */
export const HUMAN_BONES: Readonly<Record<VrmVersion, readonly HumanBone[]>> = {
  '1.0': bonesWith(THUMBS['1.0']),
  '0.x': bonesWith(THUMBS['0.x']),
};

function bonesWith(thumb: readonly ThumbBone[]): HumanBone[] {
  const fingers = FINGERS.flatMap((finger) =>
    FINGER_BONES.map((bone): FingerBone => `${finger}${bone}`),
  );
  const sided: SidedBone[] = ['Eye', ...LEG, ...ARM, ...fingers, ...thumb];
  return [...MIDDLE, ...sided.flatMap((bone) => [`left${bone}` as const, `right${bone}` as const])];
}
