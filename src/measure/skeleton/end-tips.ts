import type { JointTable } from '../../rig/types.js';

/** What exporters put on at the end of a chain (common practice). */
const TIP = /[._ -](end|tip)$/i;

/** Whether an end joint is called for being one: it has the side of its parent, whatever its name. */
export function isEndTip({ children, names }: JointTable, joint: number): boolean {
  return children[joint]?.length === 0 && TIP.test(names[joint] ?? '');
}
