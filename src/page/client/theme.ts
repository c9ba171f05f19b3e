/** The page's custom properties of colours, with what is used where a page does not set one. */
const FALLBACKS = {
  ink: '#222',
  quiet: '#777',
  paper: '#fff',
  accent: '#06c',
  error: '#b00',
  warning: '#950',
  note: '#06c',
  approved: '#7d35a8',
  'axis-x': '#c00',
  'axis-y': '#080',
  'axis-z': '#00c',
} as const;

export type Theme = Readonly<Record<keyof typeof FALLBACKS, string>>;

/** The page's colours, as its style sheet has them at the moment. */
export function readTheme(): Theme {
  // A custom property is handed out as it was written, a function of other colours included; as the
  // colour of an element the browser works it out.
  const probe = document.createElement('span');
  probe.hidden = true;
  document.documentElement.append(probe);
  const colours = Object.entries(FALLBACKS).map(([name, fallback]) => {
    probe.style.color = `var(--${name}, ${fallback})`;
    return [name, getComputedStyle(probe).color];
  });
  probe.remove();
  // The entries have the keys of FALLBACKS.
  return Object.fromEntries(colours) as Theme;
}

/** Red, green and blue from 0 to 1, sRGB, of any colour that a browser can paint. */
export function sRgb(colour: string): [number, number, number] {
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [1, 1];
  const context = canvas.getContext('2d');
  if (context === null) return [0.5, 0.5, 0.5];
  context.fillStyle = colour;
  context.fillRect(0, 0, 1, 1);
  const [r = 0, g = 0, b = 0] = context.getImageData(0, 0, 1, 1).data;
  return [r / 255, g / 255, b / 255];
}
