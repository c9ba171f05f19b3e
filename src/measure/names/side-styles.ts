import { groupBy } from '../../rig/group-by.js';
import type { NamedSide, SideStyle } from './sides.js';

/** Joints by the style in which their names tell their side. */
export interface SideStyles {
  /** The style that most use; of equals the one that came first. */
  readonly common: SideStyle;
  readonly other: readonly { readonly style: SideStyle; readonly joints: readonly number[] }[];
}

/** The style most sided joints use, and the joints of each other style. */
export function sideStyles(sided: readonly { joint: number; item: NamedSide }[]): SideStyles {
  const [most, ...other] = [...groupBy(sided, ({ item }) => item.style)]
    .map(([style, list]) => ({ style, joints: list.map(({ joint }) => joint) }))
    .sort((a, b) => b.joints.length - a.joints.length);
  return { common: most?.style ?? 'letter-last', other };
}
