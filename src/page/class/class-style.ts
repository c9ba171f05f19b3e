import { CARDS_STYLE, NARROW_CARDS } from '../cards.js';

/** The page of a class, and that of its teacher. */
export const CLASS_STYLE = `${CARDS_STYLE}
.figures{display:flex;flex-wrap:wrap;gap:.6rem 2.4rem;margin:1rem 0 0}
.figures dt{color:var(--quiet);font-size:.9rem}
.figures dd{margin:0;font-size:1.5rem;font-weight:650;font-variant-numeric:tabular-nums;line-height:1.3}
.of{color:var(--quiet);font-weight:400;font-size:.9rem}
.change{font-weight:600;font-size:.95rem;color:var(--quiet)}
.change.up{color:var(--sound)}
.change.down{color:var(--error)}
.change.none{font-weight:400}
.charts{display:grid;grid-template-columns:minmax(0,1.35fr) minmax(0,1fr);gap:0 3rem}
.charts .broad{grid-column:1/-1}
.charts h2{margin-top:2rem}
.bars{border-collapse:collapse;width:100%}
.bars th,.bars td{text-align:left;font-weight:400;padding:.3rem .7rem .3rem 0;border-top:1px solid var(--rule);vertical-align:middle}
.bars thead th{color:var(--quiet);font-size:.9rem;border:0}
.bars thead td{border:0}
.bars.long th:first-child{width:50%}
.bars.short th:first-child{width:1%;white-space:nowrap}
.bars .room{min-width:4rem}
.bars td:last-child,.bars th:last-child{text-align:right;padding-right:0;white-space:nowrap;font-variant-numeric:tabular-nums}
.bars code{color:var(--quiet);font-size:.85em}
.bars .aside{font-size:.85rem}
.room svg{display:block;width:100%;height:.9rem}
.bar-room{fill:var(--quiet);opacity:.55}
.bar-measured{fill:var(--note)}
.bar-limit{fill:var(--ink)}
.card{display:flex;flex-direction:column}
.shape .drawing{--drawing-body:#d9dce1;--drawing-edge:#868c96}
@media (prefers-color-scheme:dark){.shape .drawing{--drawing-body:#414650;--drawing-edge:#868d99}}
.card h3{font-size:1rem;margin:.6rem 0 .1rem}
.card h3 a{color:var(--ink);text-decoration:none}
.card:hover h3 a{color:var(--accent);text-decoration:underline}
.card h3 a::after{content:"";position:absolute;inset:0}
.card p{margin:.15rem 0}
.score{font-size:1.35rem;font-weight:650;font-variant-numeric:tabular-nums}
.charts h3{font-size:1rem;margin:1.4rem 0 .3rem}
.score.none{color:var(--warning);font-size:1.05rem}
.state .verdict{font-size:.85rem;padding:.05rem .55rem}
.state .aside,.grade .aside,.first,.look,.card p.aside{font-size:.88rem}
.look{color:var(--warning)}
.pages{margin-top:auto!important;padding-top:.5rem}
.pages a{position:relative;display:inline-block;padding:.3rem .6rem .3rem 0;font-size:.9rem}
.lists{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,22rem),1fr));gap:0 2.5rem}
:is(.lists,.copies) ul{padding-left:1.1rem}
:is(.lists,.copies) li{margin:.25rem 0}
.copies a{display:inline-block;max-width:100%}
.bars strong{margin-right:.35rem}
.keep{border:2px solid var(--warning);border-radius:.5rem;padding:.6rem .9rem;color:var(--ink)}
@media (max-width:56rem){.charts{grid-template-columns:minmax(0,1fr)}}
@media (max-width:34rem){.bars.long tr{display:grid;grid-template-columns:minmax(0,1fr) auto;column-gap:.7rem}.bars.long th:first-child{grid-column:1/-1;width:auto;padding-bottom:0}.bars.long td{border:0}.bars.long thead td{display:none}.bars.long thead th:first-child{grid-column:1}}
${NARROW_CARDS}
@media print{:root{--paper:#fff;--card:#fff;--ink:#000;--quiet:#444;--rule:#bbb;--accent:#000;--error:#900;--warning:#640;--note:#035;--sound:#040}html{font-size:9pt}body{max-width:none;padding:0;line-height:1.4}h2{margin-top:1.6rem;break-after:avoid}.charts{grid-template-columns:minmax(0,1.35fr) minmax(0,1fr);gap:0 2rem}#cards{grid-template-columns:repeat(4,minmax(0,1fr));gap:3mm}.card{padding:2mm}.shape{height:22mm}.pages{display:none}.charts section,.lists section{break-inside:avoid}.bar-measured,.bar-room,.bar-limit{print-color-adjust:exact}a{color:inherit;text-decoration:none}}
`;
