import { COMMON_STYLE } from '../page-style.js';

/** A page of feedback: read on a screen, or on two sheets of A4 or Letter. */
export const FEEDBACK_STYLE = `${COMMON_STYLE}
body{max-width:60rem}
.kind{color:var(--quiet);margin:0}
.points{font-size:1.15rem;padding:.5rem .9rem;background:var(--card);border:1px solid var(--rule);border-left:4px solid var(--accent);border-radius:.4rem;margin:.4rem 0 .8rem}
.points p{margin:0}
.overview{display:grid;grid-template-columns:minmax(0,1.1fr) minmax(0,1fr);gap:1.2rem;align-items:start;margin:1.2rem 0}
.drawn{margin:0;background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.8rem}
.drawn+.drawn{margin-top:.8rem}
.drawn svg{display:block;width:100%;height:auto;max-height:26rem}
.drawn figcaption{font-size:.85rem;color:var(--quiet);margin:.5rem 0 0}
.marks{list-style:none;display:flex;flex-wrap:wrap;gap:.2rem .9rem;margin:.6rem 0 0;padding:.5rem 0 0;border-top:1px solid var(--rule);font-size:.85rem}
.number{display:inline-block;min-width:1.6em;padding:0 .35em;border-radius:1em;border:1px solid currentColor;text-align:center;font-size:.8rem;font-weight:600;font-variant-numeric:tabular-nums}
.marks code{color:var(--quiet)}
table{border-collapse:collapse;width:100%;font-size:.92rem;overflow-wrap:normal}
th,td{text-align:left;vertical-align:top;padding:.28rem .7rem .28rem 0;border-top:1px solid var(--rule);font-weight:400}
thead th{color:var(--quiet);border:0}
td,thead th:not(:first-child){text-align:right;font-variant-numeric:tabular-nums;padding:.28rem 0 .28rem .7rem}
table th,table td{overflow-wrap:normal}
td:nth-last-child(-n+2),th:nth-last-child(-n+2){white-space:nowrap}
td:nth-child(2),thead th:nth-child(2){text-align:left}
.fix{background:var(--card);border:1px solid var(--rule);border-radius:.6rem;padding:.7rem 1rem;margin:.8rem 0}
.fix h3+p{color:var(--quiet);font-size:.92rem}
.good ul{columns:2;column-gap:2.5rem}
.good li{break-inside:avoid}
ul,ol.rest{padding-left:1.2rem;margin:.4rem 0}
li{margin:.15rem 0}
.marks li{margin:0}
@media (max-width:48rem){.good ul{columns:1}.overview{grid-template-columns:minmax(0,1fr)}.drawn svg{max-height:20rem}}
@media print{.good ul{columns:2}:root{--paper:#fff;--card:#fff;--ink:#000;--quiet:#444;--rule:#bbb;--accent:#000}html{font-size:9pt}body{max-width:none;padding:0;line-height:1.34}.screen{display:none}h1{font-size:15pt;margin:0 0 1mm}h2{font-size:11pt;margin:3mm 0 1mm;padding:0 0 .5mm;break-after:avoid}h3{font-size:9.5pt;break-after:avoid}p{margin:.6mm 0}.kind{font-size:8pt}.points{font-size:10pt;padding:1.2mm 3mm;margin:1mm 0 2mm}.overview{grid-template-columns:minmax(0,1.15fr) minmax(0,1fr);gap:5mm;margin:2mm 0}.drawn{padding:1.5mm}.drawn svg{max-height:62mm}.several svg{max-height:42mm}.drawn figcaption{font-size:7.5pt;margin:1mm 0 0}.marks{font-size:7.5pt;gap:0 3mm;margin:1mm 0 0;padding:1mm 0 0}.number{font-size:7pt}table{font-size:8.5pt}th,td{padding:.4mm 2mm .4mm 0}td,thead th:not(:first-child){padding:.4mm 0 .4mm 2mm}.fix{padding:1mm 2.5mm;margin:1.6mm 0;break-inside:avoid}ul,ol.rest{margin:.5mm 0;padding-left:4mm}li{margin:.2mm 0;max-height:6.75em;overflow-y:clip}footer{margin-top:3mm;padding-top:1mm;font-size:8pt}a{color:inherit;text-decoration:none}}
`;
