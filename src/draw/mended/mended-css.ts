/** Rules for what only drawings of a mend have; they go after `DRAWING_CSS`, whose colours they use. */
export const MENDED_CSS = `.drawing-limit{stroke:#ab1f1a;stroke:var(--drawing-error);stroke-width:1.3;stroke-dasharray:5 3}
.drawing .drawing-limit-word{fill:#ab1f1a;fill:var(--drawing-error);font-weight:600}`;
