/** Colours by what they are for, on light and on dark. */
const COLOURS: Readonly<Record<string, readonly [light: string, dark: string]>> = {
  paper: ['#ffffff', '#16181b'],
  ink: ['#24272c', '#e6e4df'],
  quiet: ['#666c75', '#9ba1a9'],
  rule: ['#dcdee1', '#34383e'],
  body: ['#e9eaec', '#343941'],
  edge: ['#8d939b', '#737a84'],
  crease: ['#c6cace', '#565c66'],
  bone: ['#596069', '#a9afb8'],
  x: ['#c0282d', '#ff8078'],
  y: ['#26782f', '#74cf7c'],
  z: ['#2358c2', '#86b0ff'],
  error: ['#ab1f1a', '#ff9a90'],
  warning: ['#8a5800', '#efbd5a'],
  note: ['#3d5873', '#a5c3e0'],
};

/** A colour by its variable; a viewer that has no variables takes the one before it. */
function paint(property: 'fill' | 'stroke', colour: string): string {
  const [light] = COLOURS[colour] ?? ['#000'];
  return `${property}:${light};${property}:var(--drawing-${colour})`;
}

const fill = (colour: string): string => paint('fill', colour);
const stroke = (colour: string): string => paint('stroke', colour);
const line = (colour: string, width: number): string =>
  `${stroke(colour)};fill:none;stroke-width:${width}`;

function variables(which: 0 | 1): string {
  return Object.entries(COLOURS)
    .map(([name, colours]) => `--drawing-${name}:${colours[which]}`)
    .join(';');
}

/** Around letters, so that they can be read over lines. */
function halo(width: number): string {
  return `paint-order:stroke;stroke-width:${width};stroke-linejoin:round`;
}

const axisRules = (selector: string, look: (colour: string) => string): string =>
  ['x', 'y', 'z'].map((axis) => `${selector}.drawing-${axis}{${look(axis)}}`).join('\n');

const levelRules = ['error', 'warning', 'note']
  .map((level) => {
    const signs = ['leader', 'badge', 'ring', 'dots'].map(
      (sign) => `.drawing-${sign}.drawing-${level}`,
    );
    return `${signs.join(',')}{${stroke(level)}}
.drawing text.drawing-${level}{${fill(level)}}`;
  })
  .join('\n');

/**
 * Rules for every class that a drawing uses. Colours are variables, so that a page may set its own. A
 * `tspan` is isolated since a name that is read from right to left must not turn the words around it.
 */
export const DRAWING_CSS = `.drawing,.drawing-defs{${variables(0)}}
@media (prefers-color-scheme:dark){.drawing,.drawing-defs{${variables(1)}}}
.drawing-paper{${fill('paper')}}
.drawing-window{overflow:hidden}
.drawing{font-family:system-ui,sans-serif;font-size:12px}
.drawing text{${fill('ink')}}
.drawing .drawing-heading{font-size:19px;font-weight:600}
.drawing .drawing-subheading{font-size:14px;font-weight:600}
.drawing .drawing-strong{font-weight:600}
.drawing .drawing-title,.drawing .drawing-quiet,.drawing .drawing-remedy{${fill('quiet')}}
.drawing tspan{unicode-bidi:isolate}
.drawing-panel{${line('rule', 1)}}
.drawing-rule{${stroke('rule')};stroke-width:1}
.drawing-body{${fill('body')};${stroke('edge')};fill-rule:evenodd;stroke-linejoin:round}
.drawing-crease{${fill('crease')};fill-rule:evenodd}
.drawing-bone{${line('bone', 1.1)};stroke-linecap:round}
.drawing-joint{${fill('bone')};${stroke('bone')};stroke-width:1}
.drawing-hollow{${fill('paper')}}
.drawing-axis{fill:none;stroke-width:1.5;stroke-linecap:round}
${axisRules('.drawing-axis', stroke)}
.drawing .drawing-letter{${stroke('paper')};font-weight:600;text-anchor:middle;${halo(2.5)}}
${axisRules('.drawing .drawing-letter', fill)}
.drawing-dots{${line('bone', 2)};stroke-linecap:round}
.drawing-dots.drawing-error,.drawing-dots.drawing-warning,.drawing-dots.drawing-note{stroke-width:6}
.drawing-leader{fill:none;stroke-width:0.9}
.drawing-ring{fill:none;stroke-width:1.6}
.drawing-badge{${fill('paper')};stroke-width:1.3}
${levelRules}
.drawing .drawing-number{font-size:11px;font-weight:600;text-anchor:middle}
.drawing-solid{${line('ink', 1.6)};stroke-linejoin:round;stroke-linecap:round}
.drawing-dashed{${line('quiet', 1.3)};stroke-dasharray:5 4;stroke-linejoin:round}
.drawing-gap{${line('error', 1.1)}}
.drawing-evidence{${line('ink', 1.5)};stroke-linejoin:round}
.drawing-head{${fill('ink')}}
.drawing .drawing-label{${stroke('paper')};${halo(3)}}`;

/** Purple on light and on dark: no axis and no level has it, and dashes tell it without its colour. */
const APPROVED = ['#7d35a8', '#d3a0f2'] as const;
const approvedVariable = (which: 0 | 1): string => `--drawing-approved:${APPROVED[which]}`;
const approvedStroke = (width: number): string =>
  `stroke:${APPROVED[0]};stroke:var(--drawing-approved);fill:none;stroke-width:${width};stroke-linejoin:round`;

/** Rules for the classes of an approved rig, for drawings that show one. They go after the others. */
export const APPROVED_CSS = `.drawing,.drawing-defs{${approvedVariable(0)}}
@media (prefers-color-scheme:dark){.drawing,.drawing-defs{${approvedVariable(1)}}}
.drawing-approved{${approvedStroke(2.2)};stroke-dasharray:4.5 3}
.drawing-approved-joint{${approvedStroke(1.3)}}`;

/** The rules that a drawing needs. */
export function drawingCss(hasApproved: boolean): string {
  return hasApproved ? `${DRAWING_CSS}\n${APPROVED_CSS}` : DRAWING_CSS;
}
