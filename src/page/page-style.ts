/**
 * Colours that every page shares, each at least 4.5 to 1 against its ground in both themes (WCAG 2.2,
 * 1.4.3), and how text is set.
 */
export const COMMON_STYLE = `
:root{--paper:#fbfaf6;--card:#ffffff;--ink:#23272e;--quiet:#5c6470;--rule:#dcd9d0;--accent:#8a4b08;--error:#a8201a;--warning:#85560a;--note:#2c5c86;--sound:#2a6a3b;--axis-x:#c22a1e;--axis-y:#2b7a2b;--axis-z:#2457b8;color-scheme:light dark}
@media (prefers-color-scheme:dark){:root{--paper:#17191d;--card:#1f2228;--ink:#e8e6df;--quiet:#a3a9b3;--rule:#383d46;--accent:#f0b45c;--error:#ff8f85;--warning:#efbd62;--note:#8fc1ef;--sound:#8bd39c;--axis-x:#ff7b70;--axis-y:#78cf78;--axis-z:#86b0ff}}
*{box-sizing:border-box}
html{scroll-padding-top:1rem}
body{margin:0 auto;max-width:72rem;padding:1.5rem clamp(.9rem,4vw,2.5rem) 3rem;background:var(--paper);color:var(--ink);font:1rem/1.55 system-ui,sans-serif;overflow-wrap:anywhere}
h1{font-size:clamp(1.5rem,4vw,2.1rem);line-height:1.2;margin:.2rem 0 .5rem}
h2{font-size:1.35rem;margin:2.6rem 0 .8rem;padding-bottom:.3rem;border-bottom:1px solid var(--rule)}
h3{font-size:1.08rem;margin:0}
h4{font-size:1rem;margin:0}
p{margin:.4rem 0}
a{color:var(--accent)}
code{font:.9em ui-monospace,monospace}
button,select,input{font:inherit;color:inherit}
button,select,input[type=search]{background:var(--card);border:1px solid var(--quiet);border-radius:.4rem;padding:.4rem .8rem;min-height:2.5rem}
button{cursor:pointer}
button:hover{border-color:var(--accent)}
:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
[hidden]{display:none!important}
#view-fallback{margin:1.2rem 0}
html:not([data-ahead],[data-view=live]) :is(#view,.show){display:none}
.drawing-defs{position:absolute}
.verdict{display:inline-block;margin:0 0 .35rem;padding:.15rem .7rem;border-radius:1rem;border:2px solid currentColor;font-weight:650}
.verdict.sound{color:var(--sound)}
.verdict.unsound{color:var(--error)}
.verdict.unreadable{color:var(--warning)}
.verdict.nothing-to-judge{color:var(--quiet)}
.aside,.lead,footer{color:var(--quiet)}
footer{margin-top:3rem;padding-top:.8rem;border-top:1px solid var(--rule);font-size:.9rem}
@page{margin:13mm 14mm}
`.trim();

/**
 * What makes the rig unsound; then findings beside the live view, which stays in sight: at the right of
 * them where there is room, above its controls, else above them in the upper third.
 */
const BENCH_STYLE = `
h2.small{font-size:1rem;margin:1rem 0 .3rem;padding:0;border:0}
.causes{list-style:none;margin:0;padding:0;display:grid;gap:.35rem}
.causes li{padding-left:.7rem;border-left:4px solid var(--quiet)}
.causes li.error{border-color:var(--error)}
.causes li.warning{border-color:var(--warning)}
.causes li.note{border-color:var(--note)}
.causes a{text-decoration:none}
.causes a span+span{text-decoration:underline}
.causes .where{color:var(--quiet);font-size:.9rem}
.first{margin:.9rem 0;padding:.7rem 1rem;background:var(--card);border:1px solid var(--rule);border-radius:.6rem}
#live{margin:1rem 0;padding:.2rem 1rem .5rem;border:1px solid var(--rule);border-left:4px solid var(--accent);border-radius:.6rem;background:var(--card)}
#live h2{margin-top:.5rem}
#live p{margin:.2rem 0}
.changes{list-style:none;margin:.4rem 0;padding:0;max-height:14rem;overflow:auto}
.changes .mended strong{color:var(--sound)}
.changes .error strong{color:var(--error)}
.changes .warning strong{color:var(--warning)}
.changes .note strong{color:var(--note)}
.bench{display:flex;flex-direction:column;margin-top:1.6rem}
html:is([data-ahead],[data-view=live]) .bench>#view{display:contents}
#view-frame{position:sticky;top:0;z-index:2;order:-2;background:var(--paper);padding-bottom:.3rem;border-bottom:1px solid var(--rule)}
#view-title{order:-3;margin-top:0}
#view-more{order:-1;margin:.3rem 0 1.6rem}
.bench #view-frame>#view-stage{height:34vh;min-height:11rem;background:var(--card);border:1px solid var(--rule);border-radius:.6rem;overflow:hidden}
.bench #view-word{margin:.3rem 0 0;height:3.2em;overflow:auto;font-size:.9rem;color:var(--quiet)}
html:is([data-ahead],[data-view=live]) .finding,html:is([data-ahead],[data-view=live]) .group{scroll-margin-top:calc(max(34vh,11rem) + 3.2rem)}
@media (min-width:58rem){
body{max-width:104rem}
html:is([data-ahead],[data-view=live]) .bench{display:grid;grid-template-columns:minmax(0,1fr) minmax(24rem,44%);column-gap:2rem;align-items:start}
html:is([data-ahead],[data-view=live]) .bench>.read{grid-column:1;grid-row:1}
html:is([data-ahead],[data-view=live]) .bench>#view{display:flex;flex-direction:column;grid-column:2;grid-row:1;position:sticky;top:.8rem;max-height:calc(100vh - 1.6rem);overflow-y:auto;scrollbar-width:thin;scrollbar-color:var(--quiet) transparent;background:linear-gradient(var(--paper) 30%,transparent) top/100% 2.5rem no-repeat local,linear-gradient(transparent,var(--paper) 70%) bottom/100% 2.5rem no-repeat local,linear-gradient(transparent,var(--rule)) bottom/100% .9rem no-repeat scroll}
.bench #view-frame{border:0;padding:0 0 .2rem}
.bench>#view{scroll-padding-top:calc(min(54vh,46rem) + 6rem)}
.bench #view-word{height:auto;min-height:1.5em;max-height:4.9em}
.bench #view-frame>#view-stage{height:min(54vh,46rem)}
#view-title{margin:0 0 .8rem}
#view-more{margin:.2rem 0 0}
html:is([data-ahead],[data-view=live]) .finding,html:is([data-ahead],[data-view=live]) .group{scroll-margin-top:18vh}
}
@media (min-width:58rem) and (max-height:26rem){.bench #view-frame{position:static}.bench>#view{scroll-padding-top:0}}
`.trim();

/** The page of one asset. */
export const PAGE_STYLE = `${COMMON_STYLE}
nav a{display:inline-block;padding:.35rem .9rem .35rem 0}
.back{margin:0 0 .8rem}
.points{font-weight:450}
dl{display:grid;grid-template-columns:minmax(7rem,max-content) 1fr;gap:.25rem 1.2rem;margin:.5rem 0 0}
dt{color:var(--quiet)}
dd{margin:0}
.facts+.facts{margin-top:1.2rem}
.sheet{background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.6rem;margin:.8rem 0;overflow-x:auto}
.sheet svg{display:block;width:100%;min-width:62rem;height:auto}
.sheet h3{margin:.2rem .4rem .5rem}
.wide{display:none}
.group{margin:1.6rem 0 0;padding-left:1rem;border-left:4px solid var(--quiet)}
.group.error{border-color:var(--error)}
.group.warning{border-color:var(--warning)}
.group.note{border-color:var(--note)}
.level{font-weight:650}
.error .level{color:var(--error)}
.warning .level{color:var(--warning)}
.note .level{color:var(--note)}
.count{font-weight:400;color:var(--quiet);font-size:.9rem}
.rule{margin:.1rem 0}
.why,.source{color:var(--quiet)}
.why{max-width:62ch}
.source{font-size:.85rem}
.read{container-type:inline-size;min-width:0}
.read>section:first-child>h2{margin-top:0}
.finding{display:grid;grid-template-columns:minmax(0,1fr);gap:.2rem 1.4rem;background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.9rem 1rem;margin:.8rem 0}
.finding[aria-current=true]{border-color:var(--accent);box-shadow:inset 3px 0 0 var(--accent)}
.finding .drawing{align-self:start;max-width:22rem;margin-top:.7rem}
.finding .drawing svg{display:block;width:100%;height:auto}
@container (min-width:46rem){.finding .drawing{margin-top:0}.finding:has(.drawing){grid-template:auto auto 1fr/minmax(0,1fr) minmax(0,20rem)}.finding h4,.finding .path,.finding .told{grid-column:1}.finding .drawing{grid-column:2;grid-row:1/span 3}}
.number{display:inline-block;min-width:1.7em;padding:0 .4em;border-radius:1em;border:1px solid currentColor;text-align:center;font-size:.85rem;font-weight:600;font-variant-numeric:tabular-nums}
.path{margin:0;color:var(--quiet);font-size:.85rem}
.measure{display:flex;flex-wrap:wrap;align-items:center;gap:.2rem .7rem;font-variant-numeric:tabular-nums}
.bar{flex:none;max-width:100%}
.bar-room{fill:var(--rule)}
.bar-measured{fill:var(--quiet)}
.error .bar-measured{fill:var(--error)}
.warning .bar-measured{fill:var(--warning)}
.note .bar-measured{fill:var(--note)}
.bar-limit{fill:var(--ink)}
.waiver{border-left:3px solid var(--rule);padding-left:.7rem}
.show{margin-top:.4rem}
.also{margin:.5rem 0 0}
.places{display:flex;flex-wrap:wrap;gap:.3rem .4rem;list-style:none;margin:.3rem 0 .6rem;padding:0}
.place{padding:.15rem .5rem;min-height:2rem}
.place:disabled{cursor:default;color:inherit}
.place[aria-current=true]{border-color:var(--accent);font-weight:650}
details{margin:.6rem 0}
summary{cursor:pointer;padding:.5rem 0;font-weight:600}
.tree ul{list-style:none;margin:0;padding-left:1rem;border-left:1px solid var(--rule)}
.tree>ul{padding-left:0;border:0}
.tree li{padding:.08rem 0}
.joint{border-color:transparent;background:none;padding:.2rem .5rem;min-height:2rem;text-align:left}
.joint:disabled{cursor:default;color:inherit}
.joint[aria-current=true],.joint[aria-pressed=true]{border-color:var(--accent);font-weight:650}
.still{color:var(--quiet);font-size:.85rem}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:.35rem .8rem .35rem 0;border-top:1px solid var(--rule);font-weight:400}
thead th{color:var(--quiet);border:0}
@media (max-width:70rem){.wide{display:block}}
${BENCH_STYLE}
@media (max-width:44rem){dl{grid-template-columns:1fr;gap:0}dd{margin-bottom:.5rem}.joint,.place{min-height:2.5rem}}
@media print{:root{--paper:#fff;--card:#fff;--ink:#000;--quiet:#444;--rule:#bbb;--accent:#000;--error:#900;--warning:#640;--note:#035;--sound:#040}html{font-size:10pt}body{max-width:none;padding:0}dl{grid-template-columns:minmax(7rem,max-content) 1fr;gap:.25rem 1.2rem}dd{margin:0}#view,#view-fallback,#live-state,nav,.back,.show{display:none!important}.read{container-type:normal}.finding:has(.drawing){grid-template:auto auto 1fr/minmax(0,1fr) 6.5cm}.finding .told,.finding h4,.finding .path{grid-column:1}.finding .drawing{grid-column:2;grid-row:1/span 3;margin-top:0}.finding[aria-current=true]{border-color:var(--rule);box-shadow:none}.finding,.facts,tr,.why{break-inside:avoid}.wide{display:none}h2,h3,h4,summary,.rule,.why{break-after:avoid}.tree>ul{columns:2}.tree li{break-inside:auto;padding:0}.measured :is(th,td){padding-block:.04rem}.measured thead{break-after:avoid}.sheet{overflow:visible;break-inside:avoid}.aside,.lead{orphans:3;widows:3}.sheet svg{min-width:0}a{text-decoration:none}}
`;

/** The colour of an approved rig, on light and on dark, for pages that show one. */
export const APPROVED_STYLE =
  ':root{--approved:#7d35a8}@media (prefers-color-scheme:dark){:root{--approved:#d3a0f2}}';
