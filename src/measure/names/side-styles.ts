import type { NamedSide, SideStyle } from './sides.js';

/** Joints by the style in which their names tell their side. */
export interface SideStyles {
  /** The style that most use; of equals the one that came first. */
  readonly common: SideStyle;
  readonly other: readonly { readonly style: SideStyle; readonly joints: readonly number[] }[];
}

/** The style most sided joints use, and the joints of each other style. */
export function sideStyles(sided: readonly { joint: number; item: NamedSide }[]): SideStyles {
  const groups = new Map<SideStyle, number[]>();
  for (const { joint, item } of sided) {
    const list = groups.get(item.style);
    if (list === undefined) groups.set(item.style, [joint]);
    else list.push(joint);
  }
  const ordered = [...groups.entries()].sort((a, b) => b[1].length - a[1].length);
  const common = ordered[0]?.[0] ?? 'letter-last';
  return { common, other: ordered.slice(1).map(([style, joints]) => ({ style, joints })) };
}
