import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { documentPath, renderDocument, tables } from '../support/docs.js';

it('the made parts of the README are what the code makes now (npm run docs writes them)', async () => {
  const text = readFileSync(documentPath, 'utf8');
  expect(text).toBe(await renderDocument());
});

it('the README holds every table that the code makes, and the report', () => {
  const text = readFileSync(documentPath, 'utf8');
  const held = [...text.matchAll(/<!-- made: (\w+) -->/g)].map((match) => match[1]);
  expect(held.sort()).toEqual([...Object.keys(tables), 'report'].sort());
});
