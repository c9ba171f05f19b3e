import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  type BrowserContext,
  type BrowserContextOptions,
  chromium,
  type Page,
} from 'playwright-core';
import { findProgram } from './find-program.js';

/** A browser to test pages with, or null: the one that `CHROMIUM` names, else one where systems put it. */
export const browserPath: string | null = findProgram('CHROMIUM', 'google-chrome', [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
]);

/** What to tell when there is none. */
export const NO_BROWSER =
  'No Chromium was found, so the tests that need a browser are skipped. Install one (Debian and Ubuntu: apt-get install chromium) or name it in the environment variable CHROMIUM.';

if (browserPath === null) console.warn(NO_BROWSER);

/**
 * Quiet, offline and without a graphics card: WebGL is drawn by SwiftShader, on the processor, which
 * Chromium takes for pages only when it is told to.
 */
const FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--in-process-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
];

/** What a page can be told anew before each document. */
export type Look = Pick<BrowserContextOptions, 'colorScheme' | 'reducedMotion' | 'viewport'>;

/** CSS pixels; half as many as of a usual window, since the processor draws each of them. */
const VIEWPORT = { width: 800, height: 600 };

/** A browser with an empty profile of its own. */
export interface TestBrowser {
  /** A window that shares nothing with others. */
  window(options?: BrowserContextOptions): Promise<BrowserContext>;
  /**
   * The one page for all that only looks at a document: opening it there takes a third of the time that it
   * takes in a window of its own. Nobody listens to it any more, and it is as the options say.
   */
  page(options?: Look): Promise<Page>;
  close(): Promise<void>;
}

export async function startBrowser(): Promise<TestBrowser> {
  if (browserPath === null) throw new Error(NO_BROWSER);
  // The browser makes its profile here, and playwright takes it away when it closes.
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-browser-'));
  const browser = await chromium.launch({
    executablePath: browserPath,
    headless: true,
    args: FLAGS,
    env: { ...process.env, TMPDIR: folder, HOME: folder },
  });
  let shared: Page | null = null;
  return {
    window: (options = {}) => browser.newContext(options),
    async page({ colorScheme = 'light', reducedMotion = 'no-preference', viewport } = {}) {
      shared ??= await (await browser.newContext()).newPage();
      for (const event of ['console', 'pageerror', 'request'] as const)
        shared.removeAllListeners(event);
      await shared.mouse.move(0, 0);
      await shared.emulateMedia({ media: null, colorScheme, reducedMotion });
      await shared.setViewportSize(viewport ?? VIEWPORT);
      return shared;
    },
    async close() {
      await browser.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
