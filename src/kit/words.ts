import { type Axis, axisName } from '../measure/facts.js';
import { isNamed } from '../rig/node-name.js';
import type { Rig } from '../rig/types.js';
import { angleWords, isBeyondMeasure, LEAST_PERCENT, percentage, significant } from './figures.js';

/** Turns measures into words: three significant figures, units always, names in quotes. */
export interface Words {
  joint(joint: number): string;
  /** The first few of several joints. */
  joints(joints: readonly number[]): string;
  node(node: number): string;
  part(part: number): string;
  /** A world length in the asset's unit and relative to size. */
  length(world: number): string;
  /** A share of size in percent, with its length. */
  ofSize(percent: number): string;
  degrees(angle: number): string;
  percent(value: number): string;
  number(value: number): string;
  axis(axis: Axis): string;
  /** Examples of vertices: `see vertex 90`, `see vertices 1, 2, 3`. */
  vertices(list: readonly number[]): string;
  /** A count with its noun: `1 joint`, `3 joints`. */
  count(value: number, noun: string): string;
}

/** How many names a message lists. */
const LISTED = 5;
/** Letters of a name that a message shows: the path has the rest. */
const LONGEST_NAME = 120;

export function wordsFor(rig: Rig, size: number, unit: string): Words {
  const length = (world: number): string => `${significant(world)} ${unit}`;
  return {
    joint: (joint) => jointName(rig, joint),
    joints(list) {
      const shown = list.slice(0, LISTED).map((joint) => jointName(rig, joint));
      const more = list.length - shown.length;
      return shown.join(', ') + (more > 0 ? ` and ${more} more` : '');
    },
    node(node) {
      const name = rig.nodes.names[node];
      return quote(isNamed(name) ? name : `unnamed node ${node}`);
    },
    part: (part) => quote(rig.parts[part]?.label ?? 'mesh'),
    length: (world) =>
      // What is beyond all measure needs no second number.
      size > 0 && !isBeyondMeasure(world)
        ? `${length(world)} (${percentage((100 * world) / size)} of size)`
        : length(world),
    ofSize: (percent) => {
      const share = `${percentage(percent)} of size`;
      // Nobody needs to know how long nothing is.
      return percent < LEAST_PERCENT || isBeyondMeasure(percent)
        ? share
        : `${share} (${length((percent * size) / 100)})`;
    },
    degrees: angleWords,
    percent: percentage,
    number: significant,
    axis: axisName,
    vertices: (list) => `see ${list.length === 1 ? 'vertex' : 'vertices'} ${list.join(', ')}`,
    count: (value, noun) => (value === 1 ? `1 ${noun}` : `${value} ${plural(noun)}`),
  };
}

/** A joint without a name is given with its node, which people can find in the file. */
function jointName(rig: Rig, joint: number): string {
  const name = quote(rig.joints.names[joint] ?? '');
  return rig.joints.named[joint] === true ? name : `${name} (node ${rig.joints.node[joint]})`;
}

function plural(noun: string): string {
  return /(vertex|matrix)$/.test(noun) ? `${noun.slice(0, -2)}ices` : `${noun}s`;
}

function quote(name: string): string {
  return `"${name.length > LONGEST_NAME ? `${name.slice(0, LONGEST_NAME)}...` : name}"`;
}
