import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { memberOf } from '../../src/asset/narrow.js';
import { splitGlb } from '../fixtures/read-back.js';
import { runCli } from '../support/run-cli.js';
import { tempFolder } from '../support/temp-folder.js';

function faulty(name: string): Uint8Array {
  const fault = faultNamed(name);
  return buildGlb(fault.puppet, { faults: [fault] });
}

function extrasOf(path: string): unknown {
  return memberOf(memberOf(splitGlb(readFileSync(path)).json, 'asset'), 'extras');
}

describe('a mend that somebody has to choose', () => {
  it('asks which pose is the truth, and writes none of the two unasked', async () => {
    const cwd = tempFolder({ 'marionette.glb': faulty('torn-forearm') });
    const args = ['mend', 'marionette.glb', '-o', 'out.glb'];
    const { code, stdout, stderr } = await runCli(args, { cwd });
    expect(code).toBe(4);
    expect(stdout).toMatch(/left rest\.bind at \S+: .* --rest-from bind .* --rest-from pose/);
    expect(stderr).toContain('nothing was written: nothing was mended');
    // So that what it advises can be typed as it stands.
    const choice = ['--rest-from', 'bind', '--allow-change', 'rest.bind'];
    expect((await runCli([...args, ...choice], { cwd })).code).toBe(0);
  });

  it('does not change what is seen before it is allowed, and names the option that allows it', async () => {
    const cwd = tempFolder({ 'marionette.glb': faulty('bent-elbow') });
    const { code, stdout, stderr } = await runCli(
      ['mend', 'marionette.glb', '-o', 'out.glb', '--rest-from', 'bind'],
      { cwd },
    );
    expect(code).toBe(4);
    expect(stdout).toMatch(
      /: stored (11\.2 %) of size off the bind pose [\s\S]*^Mending rest\.bind moves the mesh by \1 of size at vertex \d+ of \S+, as stored .* Nothing was written\. To mend it nevertheless, add --allow-change rest\.bind\. To mend only the rest, add --skip rest\.bind\./m,
    );
    expect(stderr).toBe('trysquare: nothing was written: it would change what is seen\n');
    expect(readdirSync(cwd)).toEqual(['marionette.glb']);
  });

  it.each(['bind', 'pose'])('makes one of the two poses, %s, and records it', async (pose) => {
    const cwd = tempFolder({ 'marionette.glb': faulty('bent-elbow') });
    const asked = ['--rest-from', pose, '--allow-change', 'rest.bind'];
    const { code, stdout } = await runCli(['mend', 'marionette.glb', '-o', 'out.glb', ...asked], {
      cwd,
    });
    expect(code).toBe(0);
    expect(stdout).toMatch(
      /^Allowed: mending rest\.bind moves the mesh by up to [\d.]+ % of size\./m,
    );
    expect(extrasOf(join(cwd, 'out.glb'))).toEqual({
      trysquare: {
        allowedChanges: [
          { rules: ['rest.bind'], percentOfSize: expect.any(Number), degrees: expect.any(Number) },
        ],
      },
    });
    expect((await runCli(['check', 'out.glb'], { cwd })).code).toBe(0);
  });

  it('adds to what an earlier mend recorded', async () => {
    const cwd = tempFolder({
      'heron.glb': buildGlb('heron', {
        faults: ['sheared-shin', 'weights-far-short'].map(faultNamed),
      }),
    });
    const allow = (rules: string): string[] => ['--allow-change', rules];
    await runCli(['mend', 'heron.glb', '-o', 'a.glb', ...allow('skin.sum')], { cwd });
    const shear = ['--resample', ...allow('scale.nonuniform,scale.shear')];
    const { code } = await runCli(['mend', 'a.glb', '-o', 'b.glb', ...shear], { cwd });
    expect(code).toBe(0);
    expect(extrasOf(join(cwd, 'b.glb'))).toMatchObject({
      trysquare: {
        allowedChanges: [{ rules: ['skin.sum'] }, { rules: ['scale.nonuniform', 'scale.shear'] }],
      },
    });
  });

  it('leaves an unequal scale under a clip alone, says why, and takes the nearest where that is asked', async () => {
    const cwd = tempFolder({ 'heron.glb': faulty('sheared-shin') });
    const plain = await runCli(['mend', 'heron.glb', '-o', 'a.glb'], { cwd });
    expect(plain.stdout).toMatch(
      /left scale\.nonuniform at body\/thigh_L: the clip "wade" moves "shin_L" .* --resample .* --allow-change/,
    );
    const near = await runCli(['mend', 'heron.glb', '-o', 'b.glb', '--resample'], { cwd });
    expect([near.code, existsSync(join(cwd, 'b.glb'))]).toEqual([4, false]);
    expect(near.stdout).toContain('add --allow-change scale.nonuniform,scale.shear.');
    const asked = ['--resample', '--allow-change', 'scale.nonuniform,scale.shear'];
    const done = await runCli(['mend', 'heron.glb', '-o', 'c.glb', ...asked], { cwd });
    expect(done.code).toBe(0);
    expect(done.stdout).toMatch(/Allowed: .* by up to 0\.\d+ % of size/);
  });

  it('turns a rig round that is rooted in its tail, and states how near the new curves come', async () => {
    const cwd = tempFolder({ 'mule.glb': faulty('rooted-in-the-tail') });
    const { code, stdout } = await runCli(
      ['mend', 'mule.glb', '--only', 'chain.direction', '-o', 'out.glb'],
      { cwd },
    );
    expect(code).toBe(0);
    expect(stdout).toMatch(
      /laid from "trunk" to "tail_tip", 8 joints, with new curves for "trunk" in the clip "plod" \(\d+ keys, at most [\d.]+ % of size from the old curves\)/,
    );
  });

  it('says what --only leaves out, that a dry run writes nothing, and what to give', async () => {
    const cwd = tempFolder({ 'heron.glb': faulty('flipped-shin') });
    const dry = ['mend', 'heron.glb', '--dry-run', '--only'];
    const { stdout, stderr } = await runCli([...dry, 'name.duplicate'], { cwd });
    expect(stdout).toContain('\n  left out by --only or --skip: axis.up\n');
    expect(stdout).not.toContain('run trysquare check');
    expect(stderr).toBe('trysquare: nothing would be written: nothing was mended\n');
    const unknown = await runCli([...dry, 'axis.upp'], { cwd });
    expect(unknown.stderr).toContain('Did you mean "axis.up"? "trysquare rules" lists them all.');
    const none = await runCli(['mend', '--dry-run'], { cwd });
    expect(none.stderr).toBe(
      'trysquare: no path is given: name a file, a folder or a pattern in quotes\n',
    );
  });

  it('allows nothing for rules that cannot be mended', async () => {
    const cwd = tempFolder({ 'heron.glb': faulty('sheared-shin') });
    for (const [rule, words] of [
      ['root.centre', 'trysquare cannot mend what root.centre finds'],
      ['scale.sheer', 'there is no rule or family "scale.sheer"'],
    ] as const) {
      const { code, stderr } = await runCli(
        ['mend', 'heron.glb', '--dry-run', '--allow-change', rule],
        { cwd },
      );
      expect([code, stderr]).toEqual([2, expect.stringContaining(words)]);
    }
    const { code } = await runCli(['mend', 'heron.glb', '--dry-run', '--rest-from', 'sitting'], {
      cwd,
    });
    expect(code).toBe(2);
  });
});
