import type { HandbookLive } from '../../handbook-live.js';
import { readTheme, type Theme } from '../theme.js';
import { type ShownPair, showPair } from './curl-pair.js';

/** Colours on paper, whatever those of the screen are. */
const PAPER: Theme = {
  ink: '#000',
  quiet: '#555',
  paper: '#fff',
  accent: '#8a4b08',
  error: '#900',
  warning: '#640',
  note: '#035',
  approved: '#7d35a8',
  'axis-x': '#c0282d',
  'axis-y': '#26782f',
  'axis-z': '#2358c2',
};

/** Makes the pairs of the page turn. Without a script the page has its drawings. */
function start(): void {
  const block = document.getElementById('handbook-live');
  if (block === null) return;
  // Written into this file together with this script, by one version of the tool.
  const { pool, pairs } = JSON.parse(block.textContent) as HandbookLive;
  let theme = readTheme();
  const shown: ShownPair[] = [];
  const seen = new Set<Element>();
  const make = (holder: HTMLElement): ShownPair | null => {
    const known = shown.find(({ element }) => element === holder);
    const pair = pairs[holder.dataset.rule ?? ''];
    if (known !== undefined || pair === undefined) return known ?? null;
    const made = showPair(holder, pair, pool, () => theme);
    shown.push(made);
    return made;
  };
  const holders = [...document.querySelectorAll<HTMLElement>('.live[data-rule]')];
  // A page of all rules would take seconds to draw at once.
  const watch = new IntersectionObserver(
    (entries) => {
      for (const { target, isIntersecting } of entries) {
        if (!isIntersecting || seen.has(target) || !(target instanceof HTMLElement)) continue;
        seen.add(target);
        watch.unobserve(target);
        make(target)?.paint(theme);
      }
    },
    { rootMargin: '600px' },
  );
  for (const holder of holders) {
    // What is hidden never comes into sight.
    holder.hidden = false;
    watch.observe(holder);
  }
  const paintAll = (colours: Theme): void => {
    for (const pair of shown) pair.paint(colours);
  };
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => {
    theme = readTheme();
    paintAll(theme);
  });
  new ResizeObserver(() => paintAll(theme)).observe(document.documentElement);
  addEventListener('beforeprint', () => {
    for (const holder of holders) make(holder);
    paintAll(PAPER);
  });
  addEventListener('afterprint', () => paintAll(theme));
}

try {
  start();
} catch (error) {
  // The page is of use without; the console shows the fault.
  console.error(error);
}
