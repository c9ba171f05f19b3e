import { describe, expect, it } from 'vitest';
import type { Puppet } from '../../../fixtures/kit/puppet.js';
import { rules } from '../../../rules/index.js';
import { checkAssetBytes } from '../../../src/check/check-asset.js';
import { defaultSettings, type Settings } from '../../../src/check/settings.js';
import { changed, checkBeside, soundAsset } from '../../support/beside-approved.js';

/** A heron without its skin, with the clips that it has then. */
function skinless(change: (puppet: Puppet) => void): Uint8Array {
  return changed('heron', (puppet) => {
    puppet.skinned = false;
    change(puppet);
  });
}

const still = skinless((puppet) => void puppet.clips.splice(0));
const fitting = skinless(() => undefined);
const stray = skinless((puppet) => {
  for (const side of ['L', 'R']) puppet.joint(`shin_${side}`).label = `calf_${side}`;
});

/** All that is told of a file beside the approved heron: the rule, and what stepped back for it. */
async function told(bytes: Uint8Array, change: Partial<Settings> = {}) {
  const { findings } = await checkBeside(bytes, await soundAsset('heron'), change);
  return findings.map(({ rule, level, insteadOf }) => [`${level} ${rule}`, insteadOf ?? []]);
}

it('a file that has neither rig nor clip is told once, by what it has to fit', async () => {
  expect(await told(still)).toEqual([['error fit.missing', ['file.no-skin']]]);
});

it('a file whose clips pose what is not there is told once, by its channels', async () => {
  expect(await told(stray)).toEqual([['error fit.clip', ['file.no-skin']]]);
});

it('is a note where nothing else says that there is no rig', async () => {
  const note = [['note file.no-skin', []]];
  expect(await told(fitting)).toEqual(note);
  const withoutFit = rules.filter(({ family }) => family !== 'fit');
  for (const bytes of [still, stray])
    expect(await told(bytes, { rules: withoutFit })).toEqual(note);
});

describe('the verdict of a file without a rig', () => {
  const verdict = async (bytes: Uint8Array, change: Partial<Settings> = {}) => {
    const settings = { ...defaultSettings(rules), ...change };
    return (await checkAssetBytes(bytes, { settings, name: 'heron.glb' })).verdict;
  };

  it('is that there is nothing to judge, with the note or without it', async () => {
    const off = new Map([['file.no-skin', 'none' as const]]);
    for (const change of [{}, { levels: off }, { failing: 'never' as const }])
      expect(await verdict(still, change)).toBe('nothing to judge');
  });

  it('is unsound where a standard asks for a rig', async () => {
    const levels = new Map([['file.no-skin', 'error' as const]]);
    expect(await verdict(still, { levels })).toBe('unsound');
    expect(await verdict(still, { failing: 'note' })).toBe('unsound');
  });

  it('is sound where its clips fit an approved rig, and unsound where they do not', async () => {
    const approved = await soundAsset('heron');
    expect((await checkBeside(fitting, approved)).verdict).toBe('sound');
    expect((await checkBeside(stray, approved)).verdict).toBe('unsound');
  });
});
