/** One light scheme for screen and paper; margins that fit A4 and Letter alike; rows, drawings and headings are not torn apart. */
export const STYLE_SHEET = `
:root{--ink:#21201d;--quiet:#6b675e;--paper:#fbfaf6;--line:#d8d3c7;--rung:#7f9bad;--alarm:#8a2c06;--soft:#efe3d8}
*{box-sizing:border-box}
body{margin:0 auto;max-width:52rem;padding:1.5rem;background:var(--paper);color:var(--ink);font:15px/1.45 system-ui,"DejaVu Sans",sans-serif;font-variant-numeric:tabular-nums}
h1{font:700 1.55rem/1.2 Georgia,"DejaVu Serif",serif;margin:0 0 .5rem}
h2{font-size:1.05rem;margin:1.6rem 0 .5rem;break-after:avoid}
p{margin:.3rem 0}
.quiet{color:var(--quiet)}
header{display:flex;justify-content:space-between;gap:1rem;color:var(--quiet);font-size:.85rem;margin-bottom:1rem;overflow-wrap:anywhere}
.verdict{border-left:6px solid var(--rung);padding:.2rem 0 .2rem 1rem}
.verdict.top-up,.verdict.reshoot,.verdict.undecided{border-color:var(--alarm)}
dl{display:flex;flex-wrap:wrap;gap:.4rem 2.2rem;margin:.8rem 0 0}dl div{display:flex;flex-direction:column}
dd{margin:0;font:700 1.15rem/1.2 Georgia,"DejaVu Serif",serif}dt{color:var(--quiet);font-size:.8rem}
.whole{break-inside:avoid}
svg.ladder{display:block;width:100%;height:auto;break-inside:avoid;margin:.4rem 0}
svg text{font:11px system-ui,"DejaVu Sans",sans-serif;fill:var(--ink)}svg text.quiet{fill:var(--quiet)}
.rung{fill:var(--rung);fill-opacity:.85}.rung.lost{fill:none;stroke:var(--quiet);stroke-dasharray:3 2}
svg text.label{font-size:10px}svg text.lost{paint-order:stroke;stroke:#fff;stroke-width:3px}
.surface{fill:#c9c3b4}.axis{stroke:var(--ink);stroke-width:1}
.band.harmful{fill:url(#missing);stroke:var(--alarm);stroke-width:1.5}
.band.harmless{fill:none;stroke:var(--quiet);stroke-dasharray:2 3}
.band.unmeasured{fill:none;stroke:var(--quiet);stroke-width:1.5;stroke-dasharray:6 3}
svg text.band-label.harmful{fill:var(--alarm);font-weight:700}svg text.band-label{fill:var(--quiet)}
.map{break-inside:avoid}.map>svg{display:block;width:100%;height:auto;max-height:26rem}
.legend{display:flex;flex-wrap:wrap;gap:.5rem 2rem;margin-top:.5rem;align-items:flex-start}
.legend ul{list-style:none;margin:0;padding:0;font-size:.85rem}.legend li{display:flex;gap:.5rem;align-items:center;margin-bottom:.2rem}
.swatch{fill:#e2ded4}.scale{width:15rem;font-size:.85rem;display:flex;flex-wrap:wrap;justify-content:space-between}.scale svg{width:100%;height:14px}
.profile{fill:none;stroke:var(--ink);stroke-width:1.6}.cut line{stroke:var(--ink);stroke-width:1.5}.cut line.under{stroke:#fff;stroke-width:4}.cut circle{fill:var(--ink);stroke:#fff;stroke-width:1.5}
table{border-collapse:collapse;width:100%;font-size:.8rem}table.narrow{width:auto;break-inside:avoid}
th{text-align:left;font-weight:600;color:var(--quiet);border-bottom:1px solid var(--ink);padding:.25rem .5rem .25rem 0;vertical-align:bottom}
td{border-bottom:1px solid var(--line);padding:.22rem .5rem .22rem 0;overflow-wrap:anywhere}
td:not(:first-child),th:not(:first-child){padding-left:.4rem}.narrow td{padding-right:1.5rem}
.rests{display:flex;gap:.5rem 2.5rem;align-items:flex-start;break-inside:avoid}.rests>table{flex:none}.path{overflow-wrap:anywhere}.rests p:first-child{margin-top:.1rem}
.file{min-width:11em}.n{text-align:right;white-space:nowrap}td.label{white-space:nowrap}
tr{break-inside:avoid}tr.gap td{background:var(--soft);font-weight:600}
thead{display:table-header-group}
ol li{margin:.25rem 0}
.caution{border-left:4px solid var(--alarm);background:var(--soft);padding:.4rem .7rem;margin:.4rem 0;break-inside:avoid}
@page{margin:16mm 15mm;@bottom-right{content:counter(page) " of " counter(pages);font:8pt system-ui,"DejaVu Sans",sans-serif;color:#6b675e}}
@media print{body{max-width:none;padding:0;background:#fff;font-size:10.5pt}:root{--paper:#fff}*{print-color-adjust:exact;-webkit-print-color-adjust:exact}h2+*{break-before:avoid}.map>svg{max-height:95mm}td{padding-top:.12rem;padding-bottom:.12rem}}
@media (max-width:40rem){.rests{flex-wrap:wrap}}
`;
