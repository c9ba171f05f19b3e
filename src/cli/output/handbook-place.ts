import { readFileSync, statSync } from 'node:fs';
import { relative, resolve } from 'node:path';
import { rules } from '../../../rules/index.js';
import { UsageError } from '../../asset/errors.js';
import type { Settings } from '../../check/settings.js';
import { entryAddress, type HandbookLink } from '../../report/handbook-link.js';
import { slashes } from '../../report/slashes.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';

/** Where the handbook is that a run leads to. */
export interface HandbookPlace {
  /** Leads there from a page in a folder. */
  from(folder: string): HandbookLink;
  /** Leads there from anywhere: null for a file, which has no address of its own. */
  readonly anywhere: HandbookLink | null;
}

/** A page on the web. Any other scheme could do more than open a page. */
const ON_THE_WEB = /^https?:\/\//i;

/**
 * The handbook that an option names, else the one of the standard; null for none. Throws UsageError for
 * an address that leads nowhere: a link is only ever made to what is there.
 */
export function handbookPlace(
  { handbook: named }: { readonly handbook?: string },
  settings: Pick<Settings, 'handbook'>,
  { cwd }: Pick<Io, 'cwd'>,
): HandbookPlace | null {
  const place = named ?? settings.handbook;
  if (place === undefined) return null;
  if (ON_THE_WEB.test(place)) return onTheWeb(place);
  return inFile(resolve(cwd, place), place);
}

function onTheWeb(address: string): HandbookPlace {
  if (!URL.canParse(address) || address.includes('#'))
    throw new UsageError(
      `--handbook names ${visible(address)}, which is not the address of a page; give it whole and without #`,
    );
  const { href } = new URL(address);
  const ours = new Set(rules.map(({ id }) => id));
  const link: HandbookLink = (rule) => (ours.has(rule) ? entryAddress(href, rule) : null);
  return { from: () => link, anywhere: link };
}

function inFile(path: string, shown: string): HandbookPlace {
  if (statSync(path, { throwIfNoEntry: false })?.isFile() !== true)
    throw new UsageError(
      `--handbook names ${visible(shown)}, which is not there; write it with "trysquare rules --out ${visible(shown)}"`,
    );
  const entries = entriesOf(readFileSync(path, 'utf8'));
  if (entries.size === 0)
    throw new UsageError(
      `--handbook names ${visible(shown)}, which is not a handbook; write one with "trysquare rules --out FILE.html"`,
    );
  return {
    from(folder) {
      const way = slashes(relative(folder, path)).split('/').map(encodeURIComponent).join('/');
      return (rule) => (entries.has(rule) ? entryAddress(way, rule) : null);
    },
    anywhere: null,
  };
}

/** The rules that a handbook has an entry of. */
function entriesOf(page: string): Set<string> {
  return new Set(
    [...page.matchAll(/<article class="entry" id="([^"]+)"/g)].map(([, id = '']) => id),
  );
}
