package paper

import (
	"encoding/json"
	"io"
)

// The page as JSON: its sections in order, each of blocks as they stand, tables with their fields' numbers
// in full. What is not finite has no number, in a field or of an item.
type (
	jsonPage struct {
		Format   string        `json:"format"`
		Title    string        `json:"title"`
		Sections []jsonSection `json:"sections"`
	}
	jsonSection struct {
		ID     string      `json:"id"`
		Title  string      `json:"title"`
		Blocks []jsonBlock `json:"blocks"`
	}
	jsonBlock struct {
		Text  string     `json:"text,omitempty"`
		List  []jsonItem `json:"list,omitempty"`
		Table *jsonTable `json:"table,omitempty"`
	}
	jsonItem struct {
		Text   string       `json:"text"`
		More   []string     `json:"more,omitempty"`
		Values []jsonNumber `json:"values,omitempty"`
	}
	jsonNumber struct {
		Name  string  `json:"name"`
		Value float64 `json:"value"`
		Unit  string  `json:"unit,omitempty"`
	}
	jsonTable struct {
		Columns []string     `json:"columns"`
		Rows    [][]jsonCell `json:"rows"`
	}
	jsonCell struct {
		Text  string   `json:"text"`
		Value *float64 `json:"value,omitempty"`
		Unit  string   `json:"unit,omitempty"`
	}
)

// JSON writes the page as an object of the format named. Drawings and pictures are not in it.
func (p *Page) JSON(w io.Writer, format string) error {
	out := jsonPage{format, p.Title, []jsonSection{}}
	for _, s := range p.Sections {
		section := jsonSection{s.ID, s.Title, []jsonBlock{}}
		for _, b := range s.Blocks {
			section.Blocks = append(section.Blocks, b.json())
		}
		out.Sections = append(out.Sections, section)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(out)
}

func (b *Block) json() jsonBlock {
	out := jsonBlock{Text: b.Text}
	for _, i := range b.List {
		item := jsonItem{Text: i.Text, More: i.More}
		for _, v := range i.Values {
			if v.Value-v.Value == 0 {
				item.Values = append(item.Values, jsonNumber(v))
			}
		}
		out.List = append(out.List, item)
	}
	if t := b.Table; t != nil {
		out.Table = &jsonTable{Rows: [][]jsonCell{}}
		for _, c := range t.Columns {
			out.Table.Columns = append(out.Table.Columns, c.Head)
		}
		for _, r := range t.Rows {
			var row []jsonCell
			for _, c := range r.Cells {
				row = append(row, jsonCell{c.Text, c.Value, c.Unit})
			}
			out.Table.Rows = append(out.Table.Rows, row)
		}
	}
	return out
}
