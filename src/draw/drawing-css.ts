/** Colours by what they are for, on light and on dark. */
const COLOURS: Readonly<Record<string, readonly [light: string, dark: string]>> = {
  paper: ['#ffffff', '#16181b'],
  ink: ['#24272c', '#e6e4df'],
  quiet: ['#666c75', '#9ba1a9'],
  rule: ['#dcdee1', '#34383e'],
  body: ['#e9eaec', '#272a2f'],
  edge: ['#b9bdc3', '#4d525a'],
  crease: ['#c6cace', '#444950'],
  bone: ['#596069', '#a9afb8'],
  x: ['#c0282d', '#ff8078'],
  y: ['#26782f', '#74cf7c'],
  z: ['#2358c2', '#86b0ff'],
  error: ['#ab1f1a', '#ff9a90'],
  warning: ['#8a5800', '#efbd5a'],
  note: ['#3d5873', '#a5c3e0'],
};

/** A colour by its variable; those who know no variables take the one before it. */
function paint(property: string, colour: string): string {
  const [light] = COLOURS[colour] ?? ['#000'];
  return `${property}:${light};${property}:var(--drawing-${colour})`;
}

function variables(which: 0 | 1): string {
  return Object.entries(COLOURS)
    .map(([name, colours]) => `--drawing-${name}:${colours[which]}`)
    .join(';');
}

const RULES: readonly (readonly [selector: string, declarations: string])[] = [
  ['.drawing-paper', paint('fill', 'paper')],
  ['.drawing', 'font-family:system-ui,sans-serif;font-size:12px'],
  ['.drawing text', paint('fill', 'ink')],
  ['.drawing .drawing-heading', 'font-size:19px;font-weight:600'],
  ['.drawing .drawing-subheading', 'font-size:14px;font-weight:600'],
  ['.drawing .drawing-strong', 'font-weight:600'],
  ['.drawing .drawing-title,.drawing .drawing-quiet', paint('fill', 'quiet')],
  // A name that is read from right to left does not turn the words around it.
  ['.drawing tspan', 'unicode-bidi:isolate'],
  ['.drawing-panel', `${paint('stroke', 'rule')};fill:none;stroke-width:1`],
  ['.drawing-rule', `${paint('stroke', 'rule')};stroke-width:1`],
  [
    '.drawing-body',
    `${paint('fill', 'body')};${paint('stroke', 'edge')};fill-rule:evenodd;stroke-linejoin:round`,
  ],
  ['.drawing-crease', `${paint('fill', 'crease')};fill-rule:evenodd`],
  ['.drawing-bone', `${paint('stroke', 'bone')};fill:none;stroke-width:1.1;stroke-linecap:round`],
  ['.drawing-joint', `${paint('fill', 'bone')};${paint('stroke', 'bone')};stroke-width:1`],
  ['.drawing-hollow', paint('fill', 'paper')],
  ['.drawing-axis', 'fill:none;stroke-width:1.5;stroke-linecap:round'],
  ...['x', 'y', 'z'].map(
    (axis) => [`.drawing-axis.drawing-${axis}`, paint('stroke', axis)] as const,
  ),
  [
    '.drawing .drawing-letter',
    `${paint('stroke', 'paper')};font-weight:600;text-anchor:middle;paint-order:stroke;stroke-width:2.5;stroke-linejoin:round`,
  ],
  ...['x', 'y', 'z'].map(
    (axis) => [`.drawing .drawing-letter.drawing-${axis}`, paint('fill', axis)] as const,
  ),
  ['.drawing-leader', 'fill:none;stroke-width:0.9'],
  ['.drawing-ring', 'fill:none;stroke-width:1.6'],
  ['.drawing-badge', `${paint('fill', 'paper')};stroke-width:1.3`],
  ...['error', 'warning', 'note'].flatMap((level) => [
    [
      ['leader', 'badge', 'ring'].map((sign) => `.drawing-${sign}.drawing-${level}`).join(','),
      paint('stroke', level),
    ] as const,
    [`.drawing text.drawing-${level}`, paint('fill', level)] as const,
  ]),
  ['.drawing .drawing-number', 'font-size:11px;font-weight:600;text-anchor:middle'],
  [
    '.drawing-solid',
    `${paint('stroke', 'ink')};fill:none;stroke-width:1.6;stroke-linejoin:round;stroke-linecap:round`,
  ],
  [
    '.drawing-dashed',
    `${paint('stroke', 'quiet')};fill:none;stroke-width:1.3;stroke-dasharray:5 4;stroke-linejoin:round`,
  ],
  ['.drawing-gap', `${paint('stroke', 'error')};fill:none;stroke-width:1.1`],
  [
    '.drawing-evidence',
    `${paint('stroke', 'ink')};fill:none;stroke-width:1.5;stroke-linejoin:round`,
  ],
  ['.drawing-head', `${paint('fill', 'ink')}`],
  [
    '.drawing .drawing-label',
    `${paint('stroke', 'paper')};paint-order:stroke;stroke-width:3;stroke-linejoin:round`,
  ],
];

/** Rules for every class that a drawing uses. Colours are variables, so that a page may set its own. */
export const DRAWING_CSS = [
  `.drawing,.drawing-defs{${variables(0)}}`,
  `@media (prefers-color-scheme:dark){.drawing,.drawing-defs{${variables(1)}}}`,
  ...RULES.map(([selector, declarations]) => `${selector}{${declarations}}`),
].join('\n');
