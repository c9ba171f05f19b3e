import { COMMON_STYLE } from '../page/page-style.js';

/** The handbook: one column of entries, each readable by itself, on screens and on paper. */
export const HANDBOOK_STYLE = `${COMMON_STYLE}
html{scroll-padding-top:1.2rem}
body{max-width:64rem}
.drawing,.drawing-defs{--drawing-sound:var(--sound)}
.drawing .drawing-sound{fill:var(--sound)}
.drawing-ring.drawing-sound{fill:none;stroke:var(--sound)}
.drawing text.drawing-error{fill:var(--error)}
.drawing-share{stroke:var(--card);stroke-width:1}
.drawing-share-0{fill:var(--note)}
.drawing-share-1{fill:var(--warning)}
.drawing-share-2{fill:var(--sound)}
.drawing-share-3{fill:var(--quiet)}
.drawing-share-below{fill:var(--error)}
.drawing-key{fill:var(--quiet)}
.drawing-key.drawing-error{fill:var(--error)}
.drawing-ground{stroke-width:1;opacity:.6}
.drawing-strong-axis{stroke-width:2.6}
.drawing-tip.drawing-y{fill:var(--axis-y)}
.drawing-tip.drawing-z{fill:var(--axis-z)}
.drawing-badge.drawing-step{stroke:var(--accent)}
.drawing-middle{stroke:var(--accent)}
.top{margin-bottom:1rem}
.lead{max-width:62ch}
nav h2{margin-top:1.2rem}
.head-links{display:flex;flex-wrap:wrap;gap:.2rem 1.4rem;font-weight:650}
.head-links a{padding:.35rem 0}
.contents{list-style:none;margin:.4rem 0 0;padding:0}
.contents>li{display:grid;grid-template-columns:12rem minmax(0,1fr);gap:.1rem 1.2rem;padding:.3rem 0;border-top:1px solid var(--rule)}
.contents a{display:inline-block;padding:.12rem 0;margin-right:.9rem}
.family-link{font-weight:650;text-decoration:none;color:var(--ink)}
.steps{list-style:none;margin:1rem 0 0;padding:0;display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,26rem),1fr));gap:1.2rem}
.step{background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:1rem 1.1rem}
.step h3{display:flex;gap:.6rem;align-items:baseline;line-height:1.3}
.step .number{flex:none;width:1.75em;height:1.75em;line-height:1.75em;border-radius:50%;background:var(--accent);color:var(--card);text-align:center;font-size:.9rem;font-weight:650}
figure{margin:0;min-width:0}
figure svg{display:block;width:100%;height:auto}
.step figure{margin:.6rem 0}
.entry{background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:1.2rem clamp(.9rem,3vw,1.6rem) 1.4rem;margin:0 0 1.4rem;scroll-margin-top:1rem}
.entry:target{border-color:var(--accent);box-shadow:0 0 0 2px var(--accent)}
.entry>h2:first-child{margin-top:0}
.do+.entry{margin-top:1.8rem}
.entry h3{font-size:1.25rem;line-height:1.3}
.on-paper{display:none}
.entry h4{margin:1.4rem 0 .4rem}
.mark{margin:.15rem 0 .9rem;display:flex;flex-wrap:wrap;gap:.3rem .6rem;align-items:baseline}
.level{padding:.02rem .6rem;border-radius:1rem;border:1px solid currentColor;font-size:.85rem;font-weight:600}
.level.error{color:var(--error)}
.level.warning{color:var(--warning)}
.level.note{color:var(--note)}
.level.none,.by{color:var(--quiet)}
.by{font-size:.9rem}
.pair,.live-sides{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:.9rem;align-items:stretch}
.pair figure,.live-sides figure{border:1px solid var(--rule);border-top:4px solid var(--quiet);border-radius:.4rem;overflow:hidden;background:var(--card)}
figure.at-fault{border-top-color:var(--error)}
figure.mended{border-top-color:var(--sound)}
.pair svg{max-height:22rem;padding:.2rem .4rem .4rem}
figcaption{padding:.3rem .7rem;font-size:.95rem}
figcaption strong{color:var(--error)}
.mended figcaption strong{color:var(--sound)}
.said{max-width:75ch;margin:.7rem 0 0;font-size:.95rem}
.said span{color:var(--quiet)}
.do ol{margin:0;padding-left:1.5rem;max-width:70ch}
.do li{margin:.3rem 0;padding-left:.2rem}
.do li::marker{font-weight:650;color:var(--accent)}
.mend{margin:.8rem 0 0;font-size:.95rem;color:var(--quiet)}
.live{min-height:24rem}
.live canvas{display:block;width:100%;aspect-ratio:4/3;touch-action:pan-y;cursor:ew-resize}
.live-sides{max-width:52rem}
.live-row{display:flex;flex-wrap:wrap;gap:.6rem 1.4rem;align-items:center}
.view-field{display:flex;flex-direction:column;margin:.6rem 0 .2rem;max-width:52rem}
.view-head{display:flex;justify-content:space-between;gap:1rem}
.view-value{flex:none;white-space:nowrap;font-weight:650;font-variant-numeric:tabular-nums}
.live input{accent-color:var(--accent)}
.live input[type=range]{width:100%;height:2.5rem;margin:0}
.live-row .view-field{flex-direction:row;align-items:center;gap:.5rem;margin:0}
.live fieldset{border:0;margin:0;padding:0;display:flex;align-items:center;gap:.2rem .9rem}
.live legend{float:left;padding:0 .7rem 0 0}
.view-pick{display:flex;align-items:center;gap:.35rem;min-height:2.5rem;cursor:pointer}
.view-pick input{width:1.25rem;height:1.25rem;margin:0}
.live-word{min-height:1.5em;color:var(--quiet)}
.facts{margin:1.4rem 0 0;display:grid;gap:.6rem}
.facts>div{display:grid;grid-template-columns:minmax(7rem,10rem) minmax(0,1fr);gap:.2rem 1.2rem;border-top:1px solid var(--rule);padding-top:.55rem}
dt{font-weight:650}
dd{margin:0;max-width:75ch}
dd ul{margin:0;padding-left:1.1rem}
@media (max-width:40rem){.contents>li{grid-template-columns:minmax(0,1fr)}.pair,.live-sides{gap:.5rem}.entry{padding:1rem .8rem 1.2rem}.facts>div{grid-template-columns:minmax(0,1fr)}.pair{grid-template-columns:minmax(0,1fr)}.do ol{padding-left:1.2rem}}
@media print{:root{--paper:#fff;--card:#fff;--ink:#000;--quiet:#444;--rule:#bbb;--accent:#6a3a06;--error:#900;--warning:#640;--note:#035;--sound:#040;--axis-x:#c0282d;--axis-y:#26782f;--axis-z:#2358c2}.drawing,.drawing-defs{--drawing-paper:#fff;--drawing-ink:#000;--drawing-quiet:#444;--drawing-body:#e9eaec;--drawing-edge:#999;--drawing-crease:#bbb;--drawing-bone:#444;--drawing-x:#c0282d;--drawing-y:#26782f;--drawing-z:#2358c2;--drawing-error:#900}html{font-size:9pt}body{max-width:none;padding:0;line-height:1.42}h2{margin-top:1.6rem}.entry,.step{border:0;padding:0 0 .6rem;border-radius:0}.entry{border-top:1px solid #bbb;padding-top:.6rem}h2+.entry{border-top:0;padding-top:0}.pair,.said,.step,.facts>div,.do li,.turn,.live-sides{break-inside:avoid}h2,h3,h4,.mark,.pair,.said{break-after:avoid}.facts>div:last-child,.do li:nth-child(2){break-before:avoid}.pair svg{max-height:4.6cm}.entry h4{margin-top:.8rem}.facts{margin-top:.8rem;gap:.4rem}.facts>div{padding-top:.35rem}figcaption{padding:.1rem .6rem}.live-row,.live .view-field,.mend{display:none}.live{min-height:0}.on-paper{display:block}span.on-paper{display:inline}.on-screen{display:none}.live p{margin:.1rem 0;min-height:0;font-size:8.5pt}.live-sides{max-width:9.4cm}.live canvas{max-height:3.4cm;object-fit:contain}.pair{max-width:13cm}.said,.do ol,dd{max-width:none}.facts{font-size:8pt}.step .number{background:none;color:#000;border:1px solid #000}#course{break-before:page}.entry{margin-bottom:.4rem}a{color:inherit;text-decoration:none}.pair{grid-template-columns:repeat(2,minmax(0,1fr))}.steps{grid-template-columns:repeat(2,minmax(0,1fr))}}
`;
