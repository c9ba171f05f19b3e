import { COMMON_STYLE } from '../page-style.js';

/** The page of a mend. */
export const MEND_STYLE = `${COMMON_STYLE}
.verdicts{display:flex;flex-wrap:wrap;align-items:center;gap:.5rem;margin:.2rem 0 .8rem}
.verdicts .verdict{margin:0}
.arrow{color:var(--quiet);font-size:1.3rem;line-height:1}
.spoken{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.tiles{list-style:none;padding:0;margin:1.2rem 0 0;display:grid;grid-template-columns:repeat(auto-fit,minmax(9rem,1fr));gap:.8rem}
.tiles li{background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.8rem 1rem}
.tiles strong{display:block;font-size:clamp(1rem,4vw,1.5rem);line-height:1.2;font-variant-numeric:tabular-nums;overflow-wrap:normal}
.tiles span{color:var(--quiet);font-size:.9rem}
#view-stage{height:clamp(18rem,min(62vh,120vw),44rem);background:var(--card);border:1px solid var(--rule);border-radius:.6rem}
.pair-divide{position:absolute;top:0;bottom:0;width:2px;margin-left:-1px;background:var(--accent);pointer-events:none}
.pair-grip{position:absolute;bottom:.8rem;left:50%;width:2.75rem;height:2.75rem;margin-left:-1.375rem;border-radius:50%;background:var(--card);border:2px solid var(--accent);cursor:ew-resize;touch-action:none;pointer-events:auto}
.pair-grip::before,.pair-grip::after{content:"";position:absolute;top:50%;width:.55rem;height:.55rem;margin-top:-.3rem;border:solid var(--accent);border-width:0 2px 2px 0}
.pair-grip::before{left:.65rem;transform:rotate(135deg)}
.pair-grip::after{right:.65rem;transform:rotate(-45deg)}
.pair-label{position:absolute;top:.6rem;padding:.1rem .7rem;border-radius:1rem;background:var(--card);border:1px solid var(--rule);font-weight:650;font-size:.9rem;pointer-events:none}
.pair-before{left:.6rem}
.pair-after{right:.6rem}
#view-controls .pair-line{grid-column:1/-1}
#view-controls button[aria-pressed=true]{border-color:var(--accent);font-weight:650}
#view-word{min-height:1.5em;color:var(--quiet)}
figure{margin:0;min-width:0}
figure svg{display:block;width:100%;height:auto}
figcaption{color:var(--quiet);font-size:.9rem}
figcaption strong{color:var(--ink)}
.plots{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,20rem),1fr));gap:1rem;margin:.8rem 0}
.plot,.view,.curl,.card{background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.8rem}
.plot figcaption span{display:block}
.two{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:.8rem;margin:.6rem 0}
.view svg{max-height:34rem}
.curl{margin:.8rem 0}
@media (min-width:60rem){.curl .two{grid-template-columns:repeat(4,minmax(0,1fr))}}
.curl figcaption{margin-bottom:.2rem}
.cards{list-style:none;padding:0;margin:.8rem 0;display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,26rem),1fr));gap:1rem}
.card{scroll-margin-top:1rem;display:flex;flex-direction:column}
.card h3{margin:0}
.number{display:inline-block;min-width:1.7em;padding:0 .4em;border-radius:1em;border:1px solid var(--note);color:var(--note);text-align:center;font-size:.85rem;font-weight:600;font-variant-numeric:tabular-nums}
.path{margin:0;color:var(--quiet);font-size:.85rem}
.frames{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:.6rem;margin-top:auto;padding-top:.4rem}
.frames figure{border-top:1px solid var(--rule);padding-top:.4rem}
.show{margin-top:.8rem}
.count{display:inline-block;min-width:1.7em;padding:0 .45em;border-radius:1em;border:1px solid currentColor;text-align:center;font-size:.85rem}
.gone,.left,.fresh{margin:1.2rem 0;padding-left:1rem;border-left:4px solid var(--quiet)}
.gone{border-color:var(--sound)}
.gone h3{color:var(--sound)}
.left{border-color:var(--warning)}
.fresh{border-color:var(--note)}
.entries{list-style:none;padding:0;margin:.4rem 0}
.entries li{padding:.5rem 0;border-top:1px solid var(--rule);max-width:75ch}
.entries li:first-child{border-top:0}
.entries p{margin:.1rem 0}
.reason::before{content:"Why it is left: ";font-weight:650}
.fresh .reason::before{content:"How it is new: "}
.level{font-weight:650}
.level.error{color:var(--error)}
.level.warning{color:var(--warning)}
.level.note{color:var(--note)}
.gone .level{color:var(--quiet)}
details{margin:.6rem 0}
summary{cursor:pointer;padding:.5rem 0;font-weight:600}
.wide-table{overflow-x:auto}
table{border-collapse:collapse;width:100%;table-layout:fixed}
th,td{text-align:left;vertical-align:top;padding:.35rem .8rem .35rem 0;border-top:1px solid var(--rule);font-weight:400}
th:first-child{width:40%}
th:nth-child(2){width:26%}
.entries .mark a{font-weight:400}
thead th{color:var(--quiet);border:0}
@media (max-width:44rem){.tiles li{padding:.7rem}.entries .path{display:block}.view svg{max-height:26rem}.two{gap:.4rem}.view,.curl,.card,.plot{padding:.55rem}table,tbody,tr,th,td{display:block;width:auto}thead{display:none}th[scope=row]{font-weight:650}td{border:0;padding:.1rem 0}td:nth-child(2)::before{content:"Before: ";color:var(--quiet)}td:nth-child(3)::before{content:"After: ";color:var(--quiet)}th:first-child{width:auto}}
@media (max-width:30rem){.two{grid-template-columns:minmax(0,1fr)}}
@media print{:root{--paper:#fff;--card:#fff;--ink:#000;--quiet:#444;--rule:#bbb;--accent:#000;--error:#900;--warning:#640;--note:#035;--sound:#040}html{font-size:10pt}body{max-width:none;padding:0}.tiles{grid-template-columns:repeat(4,minmax(0,1fr))}.tiles strong{font-size:1.05rem;overflow-wrap:anywhere}.aside{break-inside:avoid;break-after:avoid}.cards{grid-template-columns:repeat(2,minmax(0,1fr))}.frames svg{max-height:4.5cm}.curl .two{grid-template-columns:repeat(4,minmax(0,1fr))}table{display:table;width:100%}thead{display:table-header-group}tbody{display:table-row-group}tr{display:table-row}th,td{display:table-cell;padding:.35rem .8rem .35rem 0;border-top:1px solid var(--rule)}th[scope=row]{width:40%;font-weight:400}td::before{content:none!important}#view,#view-fallback,.show{display:none!important}.card,.plot,.view,.curl,.entries li,.tiles,tr{break-inside:avoid}h2,h3,summary,.rule,thead{break-after:avoid}.view svg{max-height:9cm}a{text-decoration:none}}
`;
