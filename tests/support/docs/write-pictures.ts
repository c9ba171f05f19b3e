import { execSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { browserPath, NO_BROWSER, startBrowser } from '../browser.js';
import { repository } from '../source-copy.js';
import { makeSheet, PICTURES, pageMark, RIG, WINDOW } from './pictures.js';
import { Workshop } from './workshop.js';

/**
 * Writes the pictures anew. The page is photographed only when it changed, so that a picture that
 * still holds stays the same file; null, or why it could not be.
 */
export async function writePictures(): Promise<string | null> {
  writeFileSync(join(repository, PICTURES.sheet), await makeSheet());
  const mark = await pageMark();
  const [page, markFile] = [join(repository, PICTURES.page), join(repository, PICTURES.pageMark)];
  if (existsSync(page) && existsSync(markFile) && readFileSync(markFile, 'utf8') === mark)
    return null;
  if (browserPath === null) return NO_BROWSER;
  await photographPage(page);
  writeFileSync(markFile, mark);
  return null;
}

/** Space above the heading that the picture starts with, in pixels. */
const MARGIN = 16;
/** As far as each joint of the finding's chain is turned. */
const CURL_DEGREES = 24;

/** The live view at the finding, its chain curled as it is and as it should be. */
async function photographPage(target: string): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-picture-'));
  const browser = await startBrowser();
  const workshop = new Workshop(bundleViewer(folder));
  try {
    const { stdout } = await workshop.run(`trysquare check ${RIG} --format html`);
    const file = join(folder, 'page.html');
    writeFileSync(file, stdout);
    const window = await browser.window({
      viewport: WINDOW,
      colorScheme: 'light',
      reducedMotion: 'reduce',
    });
    const page = await window.newPage();
    await page.goto(pathToFileURL(file).href);
    await page.locator('.finding button').first().click();
    await page.locator('#view input[type=range]:visible').last().fill(String(CURL_DEGREES));
    // A text, not a function: the browser's own names are not those of the tests' types.
    await page.evaluate(
      `document.querySelector('#view').scrollTop = 0; scrollTo(0, document.querySelector('#view h2').getBoundingClientRect().top + scrollY - ${MARGIN})`,
    );
    await page.screenshot({ path: target });
  } finally {
    workshop.close();
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The viewer, by the very command of package.json but for where it puts it: tables are made without a build. */
function bundleViewer(folder: string): string {
  // npm writes this file and keeps its scripts as text.
  const { scripts } = JSON.parse(readFileSync(join(repository, 'package.json'), 'utf8')) as {
    scripts: Record<string, string>;
  };
  const out = join(folder, 'page.js');
  const command = scripts['bundle:page']?.replace('dist/page.js', out);
  if (!command?.includes(out)) throw new Error('bundle:page does not write dist/page.js');
  const path = `${join(repository, 'node_modules/.bin')}${delimiter}${process.env.PATH ?? ''}`;
  execSync(command, { cwd: repository, env: { ...process.env, PATH: path } });
  return readFileSync(out, 'utf8');
}
