package report

import (
	"fmt"
	"strings"
)

// tint is a colour of the page, light and dark. The pictures use the same.
type tint struct{ name, light, dark string }

// tints: texts are ink, muted and link on paper and panel, and badge on the fields of the verdicts; all keep a contrast of 4.5.
var tints = [...]tint{
	{"paper", "#ffffff", "#15181d"},
	{"panel", "#f3f5f8", "#1e232a"},
	{"line", "#c9d0d8", "#3c4450"},
	{"ink", "#1b1f24", "#e6e9ed"},
	{"muted", "#4a525d", "#b3bcc8"},
	{"link", "#0a5fb4", "#74b6ff"},
	{"badge", "#ffffff", "#ffffff"},
	{"pass", "#0b6b3a", "#0b6b3a"},
	{"fail", "#a51d24", "#a51d24"},
	{"depends", "#7d5200", "#7d5200"},
	{"undecided", "#7d5200", "#7d5200"},
	{"no-limit", "#4a525d", "#59616c"},
}

// styleSheet is the page's style: light, or dark on screens where the reader prefers it; on A4 in print, where no colour carries a meaning.
func styleSheet() string {
	var light, dark strings.Builder
	for _, t := range tints {
		fmt.Fprintf(&light, "--%s:%s;", t.name, t.light)
		fmt.Fprintf(&dark, "--%s:%s;", t.name, t.dark)
	}
	return ":root{color-scheme:light dark;" + light.String() + "}\n@media screen and (prefers-color-scheme:dark){:root{" + dark.String() + "}}\n@media print{:root{color-scheme:light}}\n" + layout
}

const layout = `
*,*::before,*::after{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0;background:var(--paper);color:var(--ink);font:1rem/1.5 "Liberation Sans","DejaVu Sans",Arial,sans-serif;overflow-wrap:anywhere}
header,nav,main,footer{max-width:92rem;margin:0 auto;padding:0 clamp(.9rem,3vw,2.5rem)}
a{color:var(--link)}
a:focus-visible,[tabindex]:focus-visible{outline:3px solid var(--link);outline-offset:2px}
.skip{position:absolute;left:-99rem;top:.5rem;padding:.5rem 1rem;background:var(--panel);z-index:1}
.skip:focus{left:.5rem}
h1{font-size:clamp(1.3rem,1rem + 1.6vw,1.9rem);line-height:1.25;margin:1.4rem 0 .7rem}
h2{font-size:1.25rem;line-height:1.3;margin:0 0 .8rem}
p{margin:.6rem 0;max-width:48rem}
.lead{font-size:1.15rem}
.badge{display:inline-block;padding:.05em .55em;border-radius:.3em;background:var(--no-limit);color:var(--badge);font-weight:bold;text-transform:uppercase;letter-spacing:.03em;white-space:nowrap}
h1 .badge{margin-right:.3em}
td .badge{font-size:.85rem}
.pass{background:var(--pass)}.fail{background:var(--fail)}.depends{background:var(--depends)}.undecided{background:var(--undecided)}
small{display:block;font-size:.85rem;font-weight:normal;color:var(--muted);line-height:1.4}
nav ul{display:flex;flex-wrap:wrap;gap:.2rem 1.1rem;list-style:none;margin:0;padding:.6rem 0;border-top:1px solid var(--line);border-bottom:1px solid var(--line)}
nav a{display:inline-block;padding:.2rem 0}
section{padding:1.6rem 0;border-bottom:1px solid var(--line)}
section ul{padding-left:1.2rem;margin:.6rem 0;max-width:56rem}
section li{margin:.35rem 0}
.beside,.first{display:grid;gap:1.5rem;grid-template-columns:minmax(0,1fr)}
.first{padding-bottom:1rem}
.first p,.first li{margin:.35rem 0;font-size:.95rem}
.first h2{font-size:1.05rem;margin:.8rem 0 .3rem}
.first ol{margin:0;padding-left:1.4rem}
@media (min-width:56rem){.first{grid-template-columns:minmax(0,1fr) minmax(0,26rem)}}
.gallery{display:grid;gap:1.5rem;grid-template-columns:repeat(auto-fill,minmax(min(100%,22rem),1fr));margin-top:1.2rem;align-items:start}
@media (min-width:64rem){.beside{grid-template-columns:minmax(0,1fr) minmax(0,26rem);align-items:start}}
.scroll{overflow-x:auto;margin:.8rem 0}
table{border-collapse:collapse;font-size:.95rem;font-variant-numeric:tabular-nums}
caption{text-align:left;color:var(--muted);font-size:.9rem;padding:0 0 .4rem}
th,td{text-align:left;vertical-align:top;padding:.35rem .65rem .35rem 0;border-bottom:1px solid var(--line);overflow-wrap:normal}
thead th{vertical-align:bottom;border-bottom:2px solid var(--ink);font-size:.9rem}
tbody th{font-weight:normal;min-width:9rem}
tbody th[scope=rowgroup]{font-weight:bold;padding-top:.8rem}
.limits tbody th{min-width:14rem;font-weight:bold}
.limits td{min-width:8rem}
.limits td:nth-child(2){min-width:0}
.n{text-align:right;padding-left:.4rem}
.limits .n{text-align:left;padding-left:0}
code{font-family:"Liberation Mono","DejaVu Sans Mono",monospace;font-size:.8rem}
.beside table{font-size:.9rem}
.beside code{font-size:.72rem}
.at{display:inline;color:var(--muted)}
td.at{display:table-cell;white-space:nowrap}
td.at span{display:block;line-height:1.35}
li .at span{margin-left:.5em}
figure{margin:0}
figcaption{color:var(--muted);font-size:.9rem;padding-top:.4rem;max-width:48rem}
.picture{max-width:30rem;border:1px solid var(--line);border-radius:.3rem}
.picture svg{display:block;width:100%}
.vh{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
.facts{display:grid;grid-template-columns:minmax(min(100%,8rem),max-content) minmax(0,1fr);gap:.3rem 1.2rem;margin:.8rem 0}
.facts dt{color:var(--muted)}
.facts dd{margin:0}
pre{max-height:28rem;overflow:auto;background:var(--panel);border:1px solid var(--line);border-radius:.3rem;padding:.8rem;margin:.8rem 0;font-size:.8rem;line-height:1.45;overflow-wrap:normal}
pre span:target{outline:2px solid var(--link);outline-offset:2px}
footer{padding-top:1rem;padding-bottom:2rem;color:var(--muted);font-size:.9rem}
@media screen and (max-width:40rem){
.limits,.limits caption,.limits tbody,.limits tr,.limits th,.limits td{display:block}
.limits thead{display:none}
.limits tbody th,.limits td,.limits td.n,.limits td.at{min-width:0;border:0;padding:.1rem 0;white-space:normal}
.limits tr{border-bottom:1px solid var(--line);padding:.6rem 0}
.limits td.n::before,.limits td.at::before{content:attr(data-label) ": ";color:var(--muted)}
}
@media (max-width:34rem){.facts{grid-template-columns:minmax(0,1fr)}.facts dd{margin-bottom:.5rem}}
@page{size:A4;margin:14mm 14mm 16mm}
@media print{
body{font-size:9.5pt;line-height:1.35}
header,main,footer{max-width:none;padding:0}
nav,.skip,.screen{display:none}
h1{font-size:15pt;margin-top:0}
h2{font-size:12pt;break-after:avoid}
section{padding:4mm 0}
.badge{background:none;color:var(--ink);border:.6mm solid var(--ink);padding:0 .4em}
.beside{display:block}
.gallery{display:block}
.gallery figure{display:grid;grid-template-columns:88mm 1fr;gap:4mm;margin:0 0 4mm}
header{break-after:page}
.first{grid-template-columns:minmax(0,1fr) 84mm;gap:6mm}
.first .picture svg{max-height:190mm}
.scroll{overflow:visible}
.picture{max-width:88mm}
table{font-size:8.5pt}
thead{display:table-header-group}
.scroll,tr,figure,li{break-inside:avoid}
p,li{orphans:3;widows:3}
th,td{padding:.8mm 2.5mm .8mm 0}
tbody th,.limits tbody th,.limits td{min-width:0}
td.at{white-space:normal}
code{font-size:7pt}
small{font-size:8pt}
a{color:inherit;text-decoration:none}
}
`
