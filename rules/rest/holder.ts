import { type Finding, judged } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/bind-mesh.js';
import type { Facts } from '../../src/measure/facts.js';
import { type NodeOffset, nodeOffset } from '../../src/measure/node-offset.js';

interface Details extends NodeOffset {
  readonly node: number;
  readonly conversion: boolean;
}

/** Holders at zero, so that setting everything back to default gives the bind pose. */
export const restHolder = rule({
  id: 'rest.holder',
  level: 'error',
  milder: 'warning',
  title: 'a holder above the rig that is moved or turned',
  why: 'Animators set holders back to zero to find the bind pose again. A holder whose default is not zero tips the character over or throws it off its spot.',
  formula:
    'For each node above the topmost joints: length of its translation in world space, relative to size, and angle of its rotation. A lone quarter or half turn about one axis, with or without a scale by a power of ten, is an axis or unit conversion left by an export and gives a warning.',
  remedy:
    'Apply the transform of the holder to the rig and the mesh before export, so that the holder is at zero.',
  source: 'common practice',
  limits: {
    move: { default: 0.01, unit: '% of size', tells: 'translation of a holder' },
    turn: { default: 0.1, unit: 'degrees', tells: 'rotation of a holder' },
  },
  check(facts, limits) {
    const findings = facts.rig.holders.flatMap((node) => judge(facts, node, limits) ?? []);
    return judged('nodes', facts.rig.holders.length, findings);
  },
  say(finding, words) {
    const { node, move, turn, scale, conversion } = finding.details;
    const scaled = Math.abs(scale - 1) > 1e-3 ? ` and scaled by ${words.number(scale)}` : '';
    if (conversion) {
      return {
        message: `The holder ${words.node(node)} is turned by ${words.degrees(turn)} about one axis${scaled} (limit ${words.degrees(finding.limit ?? 0)}): an axis${scaled === '' ? '' : ' and unit'} conversion left by an export.`,
        remedy:
          'Export with the turn applied to the rig and the mesh, so that the holder is at zero.',
      };
    }
    const parts = [
      ...(finding.unit === 'degrees' || turn > 0.1 ? [`turned by ${words.degrees(turn)}`] : []),
      ...(move > 0 && finding.unit !== 'degrees' ? [`moved by ${words.length(move)}`] : []),
    ];
    const limit =
      finding.unit === 'degrees' ? words.degrees(finding.limit ?? 0) : `${finding.limit} % of size`;
    return {
      message: `The holder ${words.node(node)} is ${parts.join(' and ')} (limit ${limit}): its default is not zero.`,
      remedy: 'Apply its transform to the rig and the mesh, so that the holder is at zero.',
    };
  },
});

function judge(
  facts: Facts,
  node: number,
  limits: { move: number; turn: number },
): Finding<Details> | null {
  const offset = nodeOffset(facts.rig, node);
  const movePercent = size(facts) > 0 ? (100 * offset.move) / size(facts) : 0;
  const moved = movePercent > limits.move;
  const turned = offset.turn > limits.turn;
  if (!moved && !turned) return null;
  const conversion = turned && !moved && offset.squareTurn && offset.scaleIsPowerOfTen;
  return {
    level: conversion ? 'warning' : 'error',
    place: { kind: 'node', node },
    measured: moved ? movePercent : offset.turn,
    limit: moved ? limits.move : limits.turn,
    unit: moved ? '% of size' : 'degrees',
    ...(conversion ? { covers: ['scale.unit'] } : {}),
    details: { ...offset, node, conversion },
  };
}
