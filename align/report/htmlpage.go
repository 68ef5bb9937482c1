package report

// htmlSource is the page. Elements without content are closed, so that the page is also well-formed XML.
const htmlSource = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8"/>
<meta name="viewport" content="width=device-width, initial-scale=1"/>
<title>{{.Word}}: {{.Title}}</title>
<style>{{.Style}}</style>
</head>
<body>
<a class="skip" href="#main">Skip to the report</a>
<header>
<h1><span class="badge {{class .Word}}">{{.Word}}</span> {{.Title}}</h1>
<p class="lead">{{upper .Lead}}</p>
<div class="first"><div>
{{range .More}}<p>{{.}}</p>
{{end}}{{with .Do}}<h2>To do</h2>
<ol>
{{range .}}<li>{{.}}</li>
{{end}}</ol>
{{end}}</div><div>
{{range .Picture}}{{template "picture" .}}{{end}}</div></div>
</header>
<nav aria-label="Contents"><ul>
{{range .Sections}}<li><a href="#{{.ID}}">{{.Title}}</a></li>
{{end}}<li><a href="#provenance">Provenance</a></li>
</ul></nav>
<main id="main">
{{range .Sections}}{{template "chapter" .}}{{end}}<section id="provenance" aria-labelledby="provenance-head">
<h2 id="provenance-head">Provenance</h2>
<p>Pointers such as <code>/accept/0</code> lead into the record (JSON Pointer, RFC 6901). Numbers in the tables carry their full digits in the page's source.</p>
<dl class="facts">
{{range .Facts}}<dt>{{.What}}</dt><dd>{{.Is}}</dd>
{{end}}</dl>
{{if .Record}}<div class="screen"><p id="record-head">The record as the library writes it, blanks where a character cannot be shown. The digest is of its bytes.</p>
<pre tabindex="0" role="region" aria-labelledby="record-head">{{range .Record}}{{if .ID}}<span id="{{.ID}}">{{.Text}}</span>{{else}}{{.Text}}{{end}}
{{end}}</pre></div>
{{else}}<p class="screen">The record is too long to be shown here; the digest tells it from any other.</p>
{{end}}</section>
</main>
<footer>Results are geometry from the readings, not permission to run.</footer>
</body>
</html>
{{define "chapter"}}<section id="{{.ID}}" aria-labelledby="{{.ID}}-head">
<h2 id="{{.ID}}-head">{{.Title}}</h2>
{{if .Beside}}<div class="beside"><div>
{{end}}{{$section := .}}{{range .Blocks}}{{with .Text}}<p>{{.}}</p>
{{end}}{{with .List}}<ul>
{{range .}}<li>{{.Text}}{{range .More}}<small>{{.}}</small>{{end}}{{template "at" .At}}</li>
{{end}}</ul>
{{end}}{{with .Table}}{{template "table" (titled . $section)}}{{end}}{{end}}{{if .Beside}}</div><div>
{{range .Beside}}{{template "picture" .}}{{end}}</div></div>
{{end}}{{with .Gallery}}<div class="gallery">
{{range .}}{{template "picture" .}}{{end}}</div>
{{end}}</section>
{{end}}{{define "picture"}}<figure><div class="picture" tabindex="0" role="group" aria-label="{{.Caption}}">{{svg .SVG}}</div><figcaption>{{.Caption}}</figcaption></figure>
{{end}}{{define "at"}}{{with .}}<small class="at">{{range .}} <span>{{template "pointer" .}}</span>{{end}}</small>{{end}}{{end}}{{define "pointer"}}{{with linked .}}<a href="#{{.}}">{{end}}<code>{{cut .}}</code>{{if linked .}}</a>{{end}}{{end}}{{define "cell"}}{{if .Verdict}}<span class="badge {{class .Text}}">{{.Text}}</span>{{else if .Value}}<data value="{{exact .Value}}">{{.Text}}</data>{{else}}{{.Text}}{{end}}{{range .Small}}<small>{{.}}</small>{{end}}{{end}}{{define "table"}}{{$t := .}}<div class="scroll" tabindex="0" role="region" aria-label="{{.Title}}"><table class="{{.ID}}">
<caption{{if not .Caption}} class="vh"{{end}}>{{if .Caption}}{{.Caption}}{{else}}{{.Title}}{{end}}</caption>
<thead><tr>{{range .Columns}}<th scope="col"{{if .Number}} class="n"{{end}}>{{.Head}}</th>{{end}}{{if .Sourced}}<th scope="col">in the record</th>{{end}}</tr></thead>
{{range .Groups}}<tbody>
{{range .}}{{if .Group}}<tr><th scope="rowgroup" colspan="{{span $t}}">{{.Group}}</th></tr>
{{else}}<tr>{{range $k, $c := .Cells}}{{$col := index $t.Columns $k}}{{if is $k $t.Key}}<th scope="row">{{template "cell" $c}}</th>{{else}}<td{{if $col.Number}} class="n" data-label="{{$col.Head}}"{{end}}>{{template "cell" $c}}</td>{{end}}{{end}}{{if $t.Sourced}}<td class="at" data-label="in the record">{{range .At}}<span>{{template "pointer" .}}</span>{{end}}</td>{{end}}</tr>
{{end}}{{end}}</tbody>
{{end}}</table></div>
{{end}}`
