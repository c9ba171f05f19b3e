import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildPuppet, mainFile, raisePuppet } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

/** A heron with a joint of its neck unnamed, and the head above it aimed wrong. */
function nameless(): Uint8Array {
  const puppet = raisePuppet('heron', { faults: [faultNamed('crooked-neck')] });
  puppet.joint('neck_low').label = null;
  return mainFile(buildPuppet(puppet));
}

const FAILS_FROM_NOTES = ['--failing', 'note'];

/** A folder with that heron, in which all but the missing name is waived. */
async function accepted(edit: (ledger: string) => string = (text) => text): Promise<string> {
  const cwd = tempFolder({ 'heron.glb': nameless() });
  await runCli(['check', 'heron.glb', '--format', 'json', '--out', 'now.json'], { cwd });
  for (const rule of rulesIn(cwd).filter((rule) => rule !== 'name.missing'))
    await runCli(
      ['waive', 'now.json', '--rule', rule, '--asset', 'heron.glb', '--why', 'w', '--by', 'b'],
      { cwd },
    );
  const ledger = join(cwd, 'trysquare.waivers.json');
  writeFileSync(ledger, edit(readFileSync(ledger, 'utf8')));
  expect((await runCli(['check', 'heron.glb', ...FAILS_FROM_NOTES], { cwd })).code).toBe(1);
  return cwd;
}

function rulesIn(cwd: string): string[] {
  // The report that the check has just written.
  const report = JSON.parse(readFileSync(join(cwd, 'now.json'), 'utf8')) as {
    assets: { findings: { rule: string; place: { path: string } }[] }[];
  };
  const findings = report.assets.flatMap((asset) => asset.findings);
  expect(findings.some(({ place }) => place.path.includes('unnamed 1/'))).toBe(true);
  return [...new Set(findings.map(({ rule }) => rule))];
}

const ledgerOf = (cwd: string): string => readFileSync(join(cwd, 'trysquare.waivers.json'), 'utf8');

describe('a mend with a ledger', () => {
  it('in place gives the waivers the new names, and the gate stays green', async () => {
    const cwd = await accepted();
    expect(ledgerOf(cwd)).toContain('unnamed 1/');
    const { code, stderr } = await runCli(['mend', 'heron.glb', '--also', 'name', '--in-place'], {
      cwd,
    });
    expect(code).toBe(0);
    expect(stderr).toMatch(
      /; \d+ waivers? of trysquare\.waivers\.json (has|have) the new names\n$/,
    );
    expect(ledgerOf(cwd)).not.toContain('unnamed 1');
    const after = await runCli(['check', 'heron.glb', ...FAILS_FROM_NOTES], { cwd });
    expect([after.code, after.stderr]).toEqual([0, '']);
  });

  it('in place of many does the same, asset by asset', async () => {
    const cwd = await accepted();
    const args = ['mend', '.', '--also', 'name', '--in-place'];
    const { code, stdout } = await runCli(args, { cwd });
    expect(code).toBe(0);
    expect(stdout).toMatch(/^ {2}left \d findings? that (is|are) waived$/m);
    expect(stdout).toMatch(
      /^ {2}\d+ waivers? of trysquare\.waivers\.json (has|have) the new names$/m,
    );
    expect(ledgerOf(cwd)).not.toContain('unnamed 1');
    const after = await runCli(['check', 'heron.glb', ...FAILS_FROM_NOTES], { cwd });
    expect([after.code, after.stderr]).toEqual([0, '']);
  });

  it('judges what it made by the waivers under their new names', async () => {
    const cwd = await accepted();
    const { code, stdout } = await runCli(['mend', 'heron.glb', '--dry-run', '--only', 'name'], {
      cwd,
    });
    expect(code).toBe(0);
    expect(stdout).toMatch(/\nAfter the mend: sound, 0 errors, 0 warnings, 0 notes\.\n$/);
  });

  it('leaves the comments of the ledger, and waivers of other assets, as they are', async () => {
    const other =
      '// of the mule\n    { "rule": "axis.up", "asset": "mule.glb", "joint": "body/unnamed 1", "why": "w", "by": "b" },\n    ';
    const cwd = await accepted((text) => text.replace(/(?<=\n {4})\{ "rule"/, `${other}{ "rule"`));
    await runCli(['mend', 'heron.glb', '--also', 'name', '--in-place'], {
      cwd,
    });
    expect(ledgerOf(cwd)).toContain(other);
  });

  it('adds a line for the asset where a waiver is for others too', async () => {
    const cwd = await accepted((text) => text.replaceAll('"heron.glb"', '"h*.glb"'));
    const before = ledgerOf(cwd).split('\n').length;
    await runCli(['mend', 'heron.glb', '--also', 'name', '--in-place'], {
      cwd,
    });
    expect(ledgerOf(cwd)).toContain('"h*.glb"');
    expect(ledgerOf(cwd)).toContain('"heron.glb"');
    expect(ledgerOf(cwd).split('\n').length).toBeGreaterThan(before);
    expect((await runCli(['check', 'heron.glb', ...FAILS_FROM_NOTES], { cwd })).code).toBe(0);
  });

  it('changes no ledger when told to go without one, or when it only shows', async () => {
    const cwd = await accepted();
    const before = ledgerOf(cwd);
    await runCli(['mend', 'heron.glb', '--dry-run'], { cwd });
    await runCli(['mend', 'heron.glb', '--in-place', '--only', 'name.missing', '--no-ledger'], {
      cwd,
    });
    expect(ledgerOf(cwd)).toBe(before);
  });

  it('to another file tells the command by which its waivers follow, and it works', async () => {
    const cwd = await accepted();
    const { stderr } = await runCli(
      ['mend', 'heron.glb', '--also', 'name', '-o', 'new heron.glb'],
      {
        cwd,
      },
    );
    const told =
      / run (trysquare waive --move heron\.glb 'new heron\.glb' --names 'new heron\.names\.json')\n$/;
    expect(stderr).toMatch(told);
    const moved = await runCli(
      ['waive', '--move', 'heron.glb', 'new heron.glb', '--names', 'new heron.names.json'],
      { cwd },
    );
    expect(moved.code).toBe(0);
    const after = await runCli(['check', 'new heron.glb', ...FAILS_FROM_NOTES], { cwd });
    expect(after.code).toBe(0);
  });

  it.each([
    ['{}', 'does not list paths of joints'],
    ['[1]', 'does not list paths of joints'],
    ['{ "a": 1 }', 'does not list paths of joints'],
    ['nothing', 'names.json'],
  ])('refuses names that are %s', async (text, words) => {
    const cwd = await accepted();
    writeFileSync(join(cwd, 'names.json'), text);
    const { code, stderr } = await runCli(
      ['waive', '--move', 'heron.glb', 'new.glb', '--names', 'names.json'],
      { cwd },
    );
    expect([code, stderr.split('\n').length]).toEqual([2, 2]);
    expect(stderr).toContain(words);
  });

  it('refuses names without a move', async () => {
    const cwd = await accepted();
    const { code, stderr } = await runCli(['waive', 'now.json', '--prune', '--names', 'n.json'], {
      cwd,
    });
    expect([code, stderr]).toEqual([2, 'trysquare: --names goes with --move alone\n']);
  });
});
