// Source of the form of a PNG: W3C, Portable Network Graphics (Third Edition), 5.2 and 11.2.1.
import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { makeSheet, PICTURES, pageMark, WINDOW } from '../support/docs/pictures.js';
import { repository } from '../support/source-copy.js';

/** Largest picture, in bytes. */
const LARGEST = 150_000;

const bytes = (path: string): Buffer => readFileSync(join(repository, path));

describe('the picture of a sheet', () => {
  it('is what the command draws now (npm run docs writes it)', async () => {
    expect(bytes(PICTURES.sheet).toString()).toBe(await makeSheet());
  });
});

describe('the picture of a page', () => {
  it('was taken of what the page holds now (npm run docs takes it anew)', async () => {
    expect(bytes(PICTURES.pageMark).toString()).toBe(await pageMark());
  });

  it('is a PNG as large as the window it was taken in', () => {
    const png = bytes(PICTURES.page);
    expect(png.subarray(0, 8).toString('latin1')).toBe('\x89PNG\r\n\x1a\n');
    expect(png.subarray(12, 16).toString('latin1')).toBe('IHDR');
    expect([png.readUInt32BE(16), png.readUInt32BE(20)]).toEqual([WINDOW.width, WINDOW.height]);
  });
});

it.each([PICTURES.sheet, PICTURES.page])(`%s has at most ${LARGEST} bytes`, (path) => {
  expect(statSync(join(repository, path)).size).toBeLessThanOrEqual(LARGEST);
});
