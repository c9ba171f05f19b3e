import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import type { ViewHandle } from '../../src/page/client/view-handle.js';
import { dataBlock, text, wholePage } from '../../src/page/markup.js';
import { built } from '../support/built.js';
import type { PageSource } from './make-page-data.js';

/** The viewer as the build bundles it. */
export function bundledViewer(): string {
  return readFileSync(join(built.folder, 'dist/page.js'), 'utf8');
}

/** Colours of a page, told apart by their red, green and blue alone. */
const STYLE = `
:root { color-scheme: light dark; --ink: #20242c; --quiet: #5c6470; --paper: #ffffff; --accent: #884400;
  --error: #b01818; --warning: #805000; --note: #205880; --axis-x: #c02818; --axis-y: #187018; --axis-z: #1850b0; }
@media (prefers-color-scheme: dark) { :root { --ink: #e8e6e0; --quiet: #a0a4ac; --paper: #181a1e; --accent: #f0b050;
  --error: #ff8078; --warning: #f0c060; --note: #80c0f0; --axis-x: #ff7060; --axis-y: #70d070; --axis-z: #80a8ff; } }
body { margin: 1rem; background: var(--paper); color: var(--ink); font: 1rem/1.5 system-ui, sans-serif; }
button { min-height: 2.5rem; }
`;

/** The least page that the viewer works in: what it is promised to find, and nothing else. */
export function viewerPage({ data, report }: PageSource, script: string): string {
  const [asset] = report.assets;
  const findings = (asset?.findings ?? []).map(({ rig, place, message }, index) => {
    const joint = place.joint === null ? '' : ` data-joint="${place.joint}"`;
    return `<article class="finding" data-finding="${index}" data-rig="${rig ?? 0}"${joint}><p>${text(message)}</p><button type="button" class="show" hidden>Show in the live view</button></article>`;
  });
  const joints = (asset?.rigs ?? []).flatMap((rig) =>
    rig.joints.map(
      ({ name }, joint) =>
        `<li><button type="button" class="joint" data-rig="${rig.index}" data-joint="${joint}">${text(name)}</button></li>`,
    ),
  );
  const body = `<main><h1>A puppet</h1>
<section id="view" hidden aria-labelledby="view-title"><h2 id="view-title">Live view</h2>
<div id="view-stage"></div><div id="view-controls"></div><p id="view-word" role="status"></p></section>
<p id="view-fallback" hidden>The live view needs WebGL.</p>
<h2>Findings</h2>${findings.join('\n')}
<h2>Joints</h2><ul>${joints.join('\n')}</ul></main>
${dataBlock('page-data', JSON.stringify(data))}
${dataBlock('report', JSON.stringify(report))}`;
  return wholePage({ title: 'A puppet', style: STYLE, body, script });
}

/** A page with the viewer at work, and what went wrong or was asked for meanwhile. */
export interface OpenPage {
  readonly page: Page;
  /** Errors of the console and of scripts. */
  readonly errors: string[];
  /** Addresses asked for, the page's own left out. */
  readonly requests: string[];
}

/** Opens a page from disk and waits until the viewer has made up its mind. */
export async function openPage(page: Page, folder: string, html: string): Promise<OpenPage> {
  const file = join(folder, 'page.html');
  writeFileSync(file, html);
  const address = pathToFileURL(file).href;
  const [errors, requests]: [string[], string[]] = [[], []];
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  page.on('pageerror', (error) => errors.push(error.message));
  page.on('request', (request) => {
    if (request.url() !== address) requests.push(request.url());
  });
  await page.goto(address);
  await page.waitForSelector('html[data-view]');
  return { page, errors, requests };
}

/** Calls a function of the view's handle, and gives what it returns; typed arrays come as plain ones. */
export function call<Name extends Methods>(
  page: Page,
  name: Name,
  ...args: Parameters<ViewHandle[Name]>
): Promise<Plain<Awaited<ReturnType<ViewHandle[Name]>>>> {
  return page.evaluate(
    async ([method, list]) => {
      // The viewer puts its handle there; its methods are those of `ViewHandle`.
      const { trysquareView } = globalThis as unknown as {
        trysquareView: Record<string, (...list: unknown[]) => unknown>;
      };
      const result = await trysquareView[method]?.(...list);
      return ArrayBuffer.isView(result) ? [...(result as Float32Array)] : result;
    },
    [name, args] as const,
    // What a method of the handle returns comes back as JSON would bring it.
  ) as Promise<Plain<Awaited<ReturnType<ViewHandle[Name]>>>>;
}

type Methods = Exclude<keyof ViewHandle, 'ready'>;
type Plain<T> = T extends Float32Array ? number[] : T;
