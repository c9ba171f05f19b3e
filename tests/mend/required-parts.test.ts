import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import type { GltfJson } from '../../fixtures/kit/gltf-json.js';
import { rules } from '../../rules/index.js';
import { AssetError } from '../../src/asset/errors.js';
import { defaultSettings } from '../../src/check/settings.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { tempFolder } from '../support/temp-folder.js';

const settings = defaultSettings(rules);

/** Puts things over parts of the JSON; what is undefined is gone once it is text. */
const over = (part: object | undefined, other: object): void =>
  void Object.assign(part ?? {}, other);

it.each<[where: string, damage: (json: GltfJson) => void]>([
  ['/animations/0/channels', (json) => over(json.animations?.[0], { channels: undefined })],
  ['/animations/0/samplers', (json) => over(json, { animations: [{ channels: [] }] })],
  ['/meshes/1/primitives', (json) => over(json.meshes, { 1: { name: 'moth' } })],
  ['/meshes/1/primitives/0/attributes', (json) => over(json.meshes, { 1: { primitives: [{}] } })],
  ['/images/0', (json) => over(json, { images: [null] })],
  ['/images/0/uri', (json) => over(json, { images: [{ uri: 7 }] })],
])('a mend tells in one line that %s is not there', async (where, damage) => {
  const puppet = raisePuppet('heron', { faults: [faultNamed('flipped-shin')] });
  puppet.edits.push(damage);
  const path = join(tempFolder({ 'heron.glb': mainFile(buildPuppet(puppet)) }), 'heron.glb');
  const mending = mendAsset(path, settings, REPAIRS);
  await expect(mending).rejects.toThrow(AssetError);
  await expect(mending).rejects.toMatchObject({ where });
});
