import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { rules } from '../../rules/index.js';
import { openLedger, writeLedger } from '../../src/cli/run/ledger-file.js';
import { LEDGER_NAME } from '../../src/waivers/ledger.js';
import { parseLedger } from '../../src/waivers/read-ledger.js';
import { tempFolder } from '../support/temp-folder.js';

const waiver = { rule: 'axis.up', asset: 'heron.glb', joint: null, why: 'w', by: 'b', until: null };

/** Adds a waiver as a command does, with something done between reading and writing. */
function add(cwd: string, between: () => void): void {
  const place = openLedger(undefined, cwd, null);
  const ledger = parseLedger(place.text, place.shown, place.folder, rules);
  between();
  writeLedger(place, ledger, { instead: new Map(), added: [waiver] }, true, rules);
}

test.each([[{}], [{ [LEDGER_NAME]: '{ "waivers": [] }' }]])(
  'what another command wrote meanwhile is never lost',
  (files) => {
    const cwd = tempFolder(files);
    const other = '{ "waivers": [ ] } // of another command';
    const write = (): void => writeFileSync(join(cwd, LEDGER_NAME), other);
    expect(() => add(cwd, write)).toThrow('was changed by another command during the run');
    expect(readFileSync(join(cwd, LEDGER_NAME), 'utf8')).toBe(other);
    add(cwd, () => undefined);
    expect(readFileSync(join(cwd, LEDGER_NAME), 'utf8')).toContain('heron.glb');
  },
);
