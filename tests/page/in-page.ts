// What runs inside the page. The tests are compiled without a browser's types, so each function names what
// it takes from there.

interface PageElement {
  readonly className: string;
  readonly tagName: string;
  readonly textContent: string;
  readonly clientWidth: number;
  readonly clientHeight: number;
  readonly scrollWidth: number;
  readonly dataset: Record<string, string | undefined>;
  closest(selector: string): PageElement | null;
  getBoundingClientRect(): { readonly height: number };
}

/** Version and maker of the WebGL that the page has. */
export const renderer = (): string => {
  interface Gl {
    readonly VERSION: number;
    getParameter(name: number): string;
    getExtension(name: string): { readonly UNMASKED_RENDERER_WEBGL: number } | null;
  }
  const { document } = globalThis as unknown as {
    document: { createElement(name: string): { getContext(kind: string): Gl | null } };
  };
  const gl = document.createElement('canvas').getContext('webgl2');
  const info = gl?.getExtension('WEBGL_debug_renderer_info');
  return gl
    ? [gl.VERSION, info?.UNMASKED_RENDERER_WEBGL ?? 0]
        .map((name) => name && gl.getParameter(name))
        .join(', ')
    : 'none';
};

/** Waits until the view makes no picture for three frames. */
export const settled = async (): Promise<void> => {
  const { requestAnimationFrame, trysquareView } = globalThis as unknown as {
    requestAnimationFrame(then: () => void): void;
    trysquareView: { pictures(): number };
  };
  for (let before = -1; before !== trysquareView.pictures(); ) {
    before = trysquareView.pictures();
    for (let frame = 0; frame < 3; frame++)
      await new Promise<void>((resolve) => requestAnimationFrame(resolve));
  }
};

export const sizeOf = (element: unknown): { width: number; height: number } => {
  const { clientWidth, clientHeight } = element as PageElement;
  return { width: clientWidth, height: clientHeight };
};

/** Which buttons of the page these are. */
export const descriptions = (elements: unknown): string[] =>
  (elements as PageElement[]).map((element) => {
    const { joint } = element.dataset;
    const finding = element.closest('article')?.dataset.finding;
    return finding === undefined ? `joint ${joint}` : `show of ${finding}`;
  });

/** By how much the page is wider than its window. CSS pixels. */
export const overflow = (): number => {
  const { document } = globalThis as unknown as { document: { documentElement: PageElement } };
  return document.documentElement.scrollWidth - document.documentElement.clientWidth;
};

/** Those of the elements that are lower than a target must be. */
export const lowerThan = (elements: unknown, height: number): string[] =>
  (elements as PageElement[])
    .filter((element) => element.getBoundingClientRect().height < height)
    .map((element) => `${element.tagName} ${element.textContent}`);

/** What axe-core, loaded before, finds wrong with the view. */
export const violations = async (): Promise<string[]> => {
  const { axe } = globalThis as unknown as {
    axe: {
      run(context: string): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }>;
    };
  };
  const { violations: found } = await axe.run('#view');
  return found.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`);
};

/** Makes a page's canvases give no WebGL, as on machines whose driver is refused. */
export const withoutWebGl = (): void => {
  const { HTMLCanvasElement } = globalThis as unknown as {
    HTMLCanvasElement: { prototype: { getContext(kind: string, options?: unknown): unknown } };
  };
  const { prototype } = HTMLCanvasElement;
  const { getContext } = prototype;
  prototype.getContext = function (kind, options) {
    return kind.startsWith('webgl') ? null : getContext.call(this, kind, options);
  };
};
