// Source: the generic hands of npm `@webxr-input-profiles/assets` (profile generic-hand). Their 25
// joints follow the hand joints of the W3C WebXR Hand Input module and all stand side by side below
// the scene's node: no joint carries another, so there is no root that moves the hand.
import { describe, expect, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { checkAsset } from '../../src/check/check-asset.js';
import { defaultSettings } from '../../src/check/settings.js';
import { HAND_SIDES, handPath } from '../support/hands.js';

/** Joints of a hand in the WebXR Hand Input module: the wrist, four of the thumb, five a finger. */
const HAND_JOINTS = 1 + 4 + 4 * 5;

const check = (side: (typeof HAND_SIDES)[number]) =>
  checkAsset(handPath(side), { settings: defaultSettings(rules) });

describe.each(HAND_SIDES)('the %s hand', (side) => {
  test('is one rig of 25 joints, none of which carries another', async () => {
    const { rigs } = await check(side);
    expect(rigs.map((rig) => rig.joints.map((joint) => joint.parent))).toEqual([
      Array.from({ length: HAND_JOINTS }, () => -1),
    ]);
  });

  test('is told once that it has 25 topmost joints, as a warning, since it is flat as published', async () => {
    const { findings, verdict } = await check(side);
    expect(findings.filter((finding) => finding.level === 'error')).toEqual([]);
    const single = findings.filter((finding) => finding.rule === 'root.single');
    expect(single.map(({ level, measured }) => [level, measured])).toEqual([
      ['warning', HAND_JOINTS],
    ]);
    expect(verdict).toBe('sound');
  });

  test('is told homes for the first joints, no two of which are to hang on each other', async () => {
    const { findings } = await check(side);
    const remedy = findings.find((finding) => finding.rule === 'root.single')?.remedy ?? '';
    const homes = new Map(
      Array.from(remedy.matchAll(/"([^"]+)" on "([^"]+)"/g), ([, joint = '', home = '']) => [
        joint,
        home,
      ]),
    );
    expect(homes.size).toBe(5);
    for (const start of homes.keys()) {
      let steps = 0;
      for (let at = homes.get(start); at !== undefined && steps < 99; at = homes.get(at)) steps++;
      expect(steps).toBeLessThanOrEqual(homes.size);
    }
  });

  test('is told nothing joint after joint', async () => {
    const { findings } = await check(side);
    const times = new Map<string, number>();
    for (const { rule } of findings) times.set(rule, (times.get(rule) ?? 0) + 1);
    expect([...times].filter(([, count]) => count > 1)).toEqual([]);
  });
});
