const STYLE = `
#view:not([hidden]) { display: flex; flex-direction: column; }
#view-stage { position: relative; height: clamp(18rem, min(62vh, 120vw), 44rem); overflow: hidden;
  border: 1px solid color-mix(in srgb, var(--ink, #222) 18%, transparent); border-radius: 6px;
  background: var(--paper, #fff); }
#view-stage canvas { position: absolute; inset: 0; width: 100%; height: 100%; display: block; }
#view-stage .view-over { pointer-events: none; }
#view-stage .view-mark { position: absolute; top: 0; left: 0; border-radius: 4px; cursor: pointer; }
#view-stage .view-mark:hover { box-shadow: 0 0 0 2px var(--accent, #06c); }
#view-stage .view-mark:focus-visible { outline: 3px solid var(--accent, #06c); outline-offset: 1px; }
#view-stage .view-whole { position: absolute; top: .5rem; left: .5rem; display: flex; flex-wrap: wrap; gap: .25rem;
  align-items: center; font-size: .8125rem; color: var(--quiet, #666); pointer-events: none; }
#view-stage .view-whole > span { padding: 0 .25rem; border-radius: 4px; background: var(--card, #fff); }
#view .view-number { display: inline-block; min-width: 1.75rem; min-height: 1.5rem; padding: 0 .375rem; text-align: center;
  line-height: 1.5rem; border: 1px solid currentColor; border-radius: .75rem; font-size: .8125rem; font-weight: 600;
  text-decoration: none; background: var(--paper, #fff); color: var(--accent, #06c); pointer-events: auto; }
#view .view-number.error { color: var(--error, #b00); }
#view .view-number.warning { color: var(--warning, #950); }
#view .view-number.note { color: var(--note, #06c); }
#view-stage .view-canvas { cursor: grab; }
#view-stage .view-canvas:active { cursor: grabbing; }
#view-stage .view-canvas:focus-visible { outline: 3px solid var(--accent, #06c); outline-offset: -3px; }
#view-controls { order: 2; display: grid; gap: .75rem; }
#view-word { order: 1; margin: .5rem 0; min-height: 1.5em; max-height: 6em; overflow: auto; }
@media (min-width: 44rem) {
  #view-controls { grid-template-columns: 1fr 1fr; }
  #view-controls .view-curl { grid-column: 2; grid-row: 1 / span 2; }
}
#view-controls fieldset { min-width: 0; margin: 0; padding: 0; border: 0; }
#view-controls .view-group { display: flex; flex-direction: column; gap: .5rem; padding: .5rem .75rem .75rem;
  border: 1px solid color-mix(in srgb, var(--ink, #222) 18%, transparent); border-radius: 6px; }
#view-controls legend { padding: 0 .25rem; font-size: .875rem; color: var(--quiet, #666); }
#view-controls .view-group > legend { font-weight: 600; color: var(--ink, #222); }
#view-controls .view-radios > legend { padding: 0; }
#view-controls .view-buttons { display: flex; flex-wrap: wrap; gap: .5rem; }
#view-controls .view-row { display: flex; flex-wrap: wrap; gap: .5rem; align-items: flex-end; }
#view-controls .view-row > .view-field { flex: 1 1 8rem; }
#view-controls .view-field { display: flex; flex-direction: column; gap: .125rem; min-width: 0; font-size: .875rem; }
#view-controls .view-field label { color: var(--quiet, #666); }
#view-controls .view-head { display: flex; justify-content: space-between; gap: .5rem; }
#view-controls .view-value { color: var(--ink, #222); font-variant-numeric: tabular-nums; }
#view-controls button, #view-controls select { min-height: 2.5rem; min-width: 2.75rem; padding: 0 .75rem;
  max-width: 100%; font: inherit; color: var(--ink, #222); background: var(--paper, #fff);
  border: 1px solid color-mix(in srgb, var(--ink, #222) 45%, transparent); border-radius: 6px; }
#view-controls select { width: 100%; padding: 0 .5rem; }
#view-controls button { cursor: pointer; }
#view-controls button:hover { border-color: var(--accent, #06c); }
#view-controls :is(button, select, input):focus-visible { outline: 3px solid var(--accent, #06c); outline-offset: 1px; }
#view-controls input { accent-color: var(--accent, #06c); }
#view-controls input[type=range] { width: 100%; height: 2.5rem; margin: 0; }
#view-controls .view-amount .view-field { flex: 1 1 10rem; }
#view-controls input[type=number] { width: 5.5rem; min-height: 2.5rem; padding: 0 .5rem; font: inherit;
  color: var(--ink, #222); background: var(--paper, #fff); border-radius: 6px;
  border: 1px solid color-mix(in srgb, var(--ink, #222) 45%, transparent); }
#view-controls .view-pick { display: flex; align-items: center; gap: .5rem; min-height: 2.5rem; cursor: pointer; }
#view-controls .view-pick input { flex: none; width: 1.25rem; height: 1.25rem; margin: 0; }
#view-controls .view-word { margin: 0; min-height: 2.6em; font-size: .875rem; line-height: 1.3; }
#view-controls .view-note { grid-column: 1 / -1; margin: 0; max-width: 65em; font-size: .875rem; line-height: 1.4;
  color: var(--quiet, #666); }
@media print { #view { display: none; } }
`;

/** Adds the style as a sheet made by script: the page's policy forbids inline styles. */
export function addViewStyle(): void {
  addSheet(STYLE);
}

let hasFigures = false;

/** The same for views that are no part of `#view`, of which a page may hold several. */
export function addFigureStyle(): void {
  if (!hasFigures) addSheet(STYLE.replaceAll('#view-', '.view-'));
  hasFigures = true;
}

function addSheet(style: string): void {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(style);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
}
