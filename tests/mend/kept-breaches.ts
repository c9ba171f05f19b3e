/** What a mend leaves as it was, by fault, and why. */
export const KEPT: Readonly<Record<string, readonly string[]>> = {
  // No repair answers them: only who made the file knows the joints that were meant.
  'joint-past-the-list': ['joint-in-skin'],
  // Weights from around would be seen.
  'weight-not-a-number': ['float-finite'],
  'forgotten-vertices': ['weight-sum-float'],
  // A sum of one would move the vertices by more than is seen of a mend.
  'weights-a-little-short': ['weight-sum-float'],
  'weights-far-short': ['weight-sum-float'],
  'two-meshes-far-short': ['weight-sum-float'],
  'a-step-short': ['weight-sum-stored'],
  'many-steps-short': ['weight-sum-stored'],
};
