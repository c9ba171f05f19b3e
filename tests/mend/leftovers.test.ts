// Source: @gltf-transform/functions (npm), `prune`: what it takes out of a file is what nothing uses.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Document, Logger, NodeIO } from '@gltf-transform/core';
import { prune } from '@gltf-transform/functions';
import { expect, test } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { defaultSettings } from '../../src/check/settings.js';
import { mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { splitGlb } from '../fixtures/read-back.js';
import { tempFolder } from '../support/temp-folder.js';
import { BOLD } from './asked.js';

/** Elements keep to multiples of eight bytes where others went. Bytes. */
const GAPS = 64;

const bytesOf = (document: Document): number =>
  document
    .getRoot()
    .listAccessors()
    .reduce((sum, accessor) => sum + (accessor.getArray()?.byteLength ?? 0), 0);

// Keys that clips share and need apart; joints with their matrices; a chain hung the other way round.
test.each(['forelegs-hung-by-the-hoof', 'rooted-in-the-tail', 'idle-hooks'])(
  'a mend of %s leaves nothing that nobody uses',
  async (name) => {
    const fault = faultNamed(name);
    const path = join(tempFolder(), 'rig.glb');
    writeFileSync(path, buildGlb(fault.puppet, { faults: [fault] }));
    const { files, changes } = await mendAsset(path, defaultSettings(rules), REPAIRS, {
      resample: true,
      also: BOLD,
    });
    expect(changes.length).toBeGreaterThan(0);
    const document = await new NodeIO().readBinary(files.main);
    document.setLogger(new Logger(Logger.Verbosity.SILENT));
    const count = document.getRoot().listAccessors().length;
    expect(splitGlb(files.main).binary.byteLength - bytesOf(document)).toBeLessThan(GAPS);
    await document.transform(prune({ keepLeaves: true, keepAttributes: true, keepIndices: true }));
    expect(document.getRoot().listAccessors().length).toBe(count);
  },
);
