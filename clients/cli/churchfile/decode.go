package churchfile

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/structpb"
)

// maxNodes bounds a file with many aliases: a church's file has a few thousand
// nodes, and an alias that repeats a large part could otherwise grow without end.
const maxNodes = 200_000

// MaxBytes is the largest file that is read.
const MaxBytes = 4 << 20

// Problem is one thing wrong in the file.
type Problem struct {
	Line    int    // 1-based; 0: the whole file
	Field   string // path such as survey.lines[2].from.z
	Given   string
	Allowed string
	Message string
}

// String is the problem on one line, as a person reads it.
func (p Problem) String() string {
	var b strings.Builder
	if p.Line > 0 {
		fmt.Fprintf(&b, "line %d: ", p.Line)
	}
	if p.Field != "" {
		fmt.Fprintf(&b, "%s: ", p.Field)
	}
	b.WriteString(p.Message)
	if p.Given != "" {
		fmt.Fprintf(&b, "; given %q", p.Given)
	}
	if p.Allowed != "" {
		fmt.Fprintf(&b, "; allowed: %s", p.Allowed)
	}
	return b.String()
}

// Lines maps field paths to lines of the file.
type Lines map[string]int

// Of returns the line of a field, or of the nearest field that holds it; 0 when
// nothing of it stands in the file.
func (l Lines) Of(path string) int {
	for p := path; p != ""; p = parent(p) {
		if n, ok := l[p]; ok {
			return n
		}
	}
	return 0
}

func parent(path string) string {
	i := strings.LastIndexAny(path, ".[")
	if i < 0 {
		return ""
	}
	return path[:i]
}

// Decode reads a file into msg and returns every problem at once, in line
// order. msg is filled as far as the file could be read.
func Decode(data []byte, msg proto.Message) (Lines, []Problem) {
	d := decoder{lines: Lines{}}
	if len(data) > MaxBytes {
		return d.lines, []Problem{{Message: "the file is too large", Given: fmt.Sprintf("%d bytes", len(data)), Allowed: fmt.Sprintf("at most %d bytes", MaxBytes)}}
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return d.lines, []Problem{syntax(data, err)}
	}
	if len(doc.Content) == 0 {
		return d.lines, []Problem{{Message: "the file is empty"}}
	}
	d.message(doc.Content[0], msg.ProtoReflect(), "")
	sort.SliceStable(d.problems, func(i, j int) bool { return d.problems[i].Line < d.problems[j].Line })
	return d.lines, d.problems
}

var yamlLine = regexp.MustCompile(`line (\d+): (.*)`)

// inWords says what is wrong in words for people who know no YAML, and what to
// type instead, by a part of the parser's own message.
var inWords = []struct{ part, says string }{
	{"mapping values are not allowed", `there is a colon too many, or the line before it is not finished: put a text that holds ": " in quotes, as in note: "left: not measured"`},
	{"cannot start any token", "a tab, or a sign such as @ or %, stands where a field begins: indent with spaces, two for each step, and put a text that begins with such a sign in quotes"},
	{"could not find expected ':'", "a colon is missing after a field's name, on this line or the one before it: write name: My church"},
	{"did not find expected ',' or ']'", "a list that was opened with [ is not closed, or a comma is missing in it: write [a, b]"},
	{"did not find expected ',' or '}'", "a group that was opened with { is not closed, or a comma is missing in it: write {x: 1 ft, y: 2 ft}"},
	{"did not find expected node content", "something is missing here: a value after the colon, or the end of a list [a, b] or group {x: 1 ft}"},
	{"did not find expected key", "this line, or the one before it, is not indented like its neighbours, or holds a quotation mark too many: give fields of one group the same number of spaces in front"},
	{"did not find expected '-' indicator", "this line is not indented like the other entries of its list: begin each entry with the same number of spaces and a hyphen"},
	{"block sequence entries are not allowed", "a hyphen stands where no list is: put the entries of a list on lines of their own below the field's name"},
	{"unexpected end of stream", "a quotation mark was opened and not closed: write the value in \" on both sides"},
	{"found unknown escape character", `a backslash stands in a text in double quotes: leave it out, or use single quotes`},
	{"unknown anchor", "a value that begins with * is taken for something else: put it in quotes"},
	{"invalid leading UTF-8", "the file is not saved as UTF-8 text: save it as plain text, UTF-8"},
	{"control characters are not allowed", "the file holds signs that are no text: save it as plain text, UTF-8"},
}

// syntax says in plain words where the file cannot be taken apart.
func syntax(data []byte, err error) Problem {
	text, line := strings.TrimPrefix(err.Error(), "yaml: "), 0
	if m := yamlLine.FindStringSubmatch(text); m != nil {
		line, _ = strconv.Atoi(m[1]) // digits
		text = m[2]
	}
	given := ""
	rows := strings.Split(string(data), "\n")
	// A tab is what it is nearly always; the parser names some other line.
	for i, row := range rows {
		if lead := row[:len(row)-len(strings.TrimLeft(row, " \t"))]; strings.Contains(lead, "\t") {
			return Problem{Line: i + 1, Message: "not readable: the line is indented with a tab; use spaces, two for each step", Given: cut(strings.TrimSpace(row))}
		}
	}
	line = min(line, len(rows))
	if line > 0 {
		given = cut(strings.TrimSpace(rows[line-1]))
	}
	for _, w := range inWords {
		if strings.Contains(text, w.part) {
			return Problem{Line: line, Message: "not readable: " + w.says, Given: given}
		}
	}
	return Problem{Line: line, Message: "not readable as YAML: " + text, Given: given}
}

type decoder struct {
	lines    Lines
	problems []Problem
	nodes    int
}

func (d *decoder) problem(n *yaml.Node, path, given, allowed, message string) {
	d.problems = append(d.problems, Problem{n.Line, path, given, allowed, message})
}

// enter follows aliases and counts nodes; false when the file is too large.
func (d *decoder) enter(n *yaml.Node) (*yaml.Node, bool) {
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	d.nodes++
	if d.nodes == maxNodes {
		d.problem(n, "", "", "", "the file repeats too much through aliases")
	}
	return n, d.nodes < maxNodes
}

func (d *decoder) message(n *yaml.Node, m protoreflect.Message, path string) {
	n, ok := d.enter(n)
	if !ok || isNull(n) {
		return
	}
	if n.Kind != yaml.MappingNode {
		d.problem(n, path, short(n), fieldNames(m.Descriptor()), "a group of fields is wanted here")
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		at := join(path, key.Value)
		fd := m.Descriptor().Fields().ByName(protoreflect.Name(key.Value))
		if fd == nil {
			if said := parted(n, i); said != "" {
				d.problem(key, path, said, "", "a comma parts the fields of a { } group: "+withoutComma(said))
				continue
			}
			d.problem(key, at, "", suggest(key.Value, m.Descriptor()), "no such field")
			continue
		}
		if seen[key.Value] {
			d.problem(key, at, "", "", "the field is given twice")
			continue
		}
		seen[key.Value] = true
		d.lines[at] = key.Line
		d.field(value, m, fd, at)
	}
}

// parted returns the value that a comma within a { } group has cut in two, when
// field i of n is the second half of one: {value: 4,8 m} has a field "8 m".
func parted(n *yaml.Node, i int) string {
	if n.Style&yaml.FlowStyle == 0 || i < 2 || !isNull(n.Content[i+1]) || !startsWithDigit(n.Content[i].Value) {
		return ""
	}
	before := n.Content[i-1]
	if before.Kind != yaml.ScalarNode || before.Value == "" || before.Value[len(before.Value)-1] < '0' || before.Value[len(before.Value)-1] > '9' {
		return ""
	}
	return before.Value + "," + n.Content[i].Value
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

var thousands = regexp.MustCompile(`^[-+]?\d{1,3}([,.' ]\d{3})+$`)

// withoutComma says how to write a number whose comma cannot stand.
func withoutComma(said string) string {
	if thousands.MatchString(said) {
		return fmt.Sprintf("write %s, or put it in quotes where a unit follows", digits(said))
	}
	return fmt.Sprintf("write %s, or put it in quotes, %q", strings.Replace(said, ",", ".", 1), said)
}

func digits(s string) string {
	return strings.NewReplacer(",", "", ".", "", "'", "", " ", "").Replace(s)
}

// wholeNumber says what is allowed where a whole number is wanted, with the number
// that was meant where its thousands were parted.
func wholeNumber(text string) string {
	if thousands.MatchString(text) {
		return "a whole number without parted thousands: " + digits(text)
	}
	return "a whole number"
}

func (d *decoder) field(n *yaml.Node, m protoreflect.Message, fd protoreflect.FieldDescriptor, path string) {
	n, ok := d.enter(n)
	if !ok || isNull(n) {
		return
	}
	if fd.IsMap() {
		d.problem(n, path, "", "", "this field cannot be given in a file")
		return
	}
	if !fd.IsList() {
		d.single(n, m, fd, path)
		return
	}
	if n.Kind != yaml.SequenceNode {
		d.problem(n, path, short(n), "a list, for example [a, b]", "a list is wanted here")
		return
	}
	list := m.Mutable(fd).List()
	for i, item := range n.Content {
		at := fmt.Sprintf("%s[%d]", path, i)
		item, ok := d.enter(item)
		if !ok {
			return
		}
		d.lines[at] = item.Line
		if fd.Message() != nil {
			v := list.NewElement()
			d.value(item, v.Message(), fd, at)
			list.Append(v)
			continue
		}
		if v, ok := d.scalar(item, fd, at); ok {
			list.Append(v)
		}
	}
}

func (d *decoder) single(n *yaml.Node, m protoreflect.Message, fd protoreflect.FieldDescriptor, path string) {
	if fd.Message() != nil {
		d.value(n, m.Mutable(fd).Message(), fd, path)
		return
	}
	if v, ok := d.scalar(n, fd, path); ok {
		m.Set(fd, v)
	}
}

// value reads a message: a quantity and a time from one scalar, all else from a
// group of fields.
func (d *decoder) value(n *yaml.Node, m protoreflect.Message, fd protoreflect.FieldDescriptor, path string) {
	switch fd.Message().FullName() {
	case "roodbeam.v1.Quantity":
		if n.Kind != yaml.ScalarNode {
			d.problem(n, path, short(n), "for example 12 ft 6 in, 3.81 m", "one value with its unit is wanted here")
			return
		}
		m.Set(fd.Message().Fields().ByName("typed"), protoreflect.ValueOfString(n.Value))
	case "google.protobuf.Timestamp":
		t, err := readTime(n.Value)
		if n.Kind != yaml.ScalarNode || err != nil {
			d.problem(n, path, short(n), "a date such as 2027-01-31, or 2027-01-31T11:00:00Z", "not a date")
			return
		}
		m.Set(fd.Message().Fields().ByName("seconds"), protoreflect.ValueOfInt64(t.Unix()))
	case "google.protobuf.Struct":
		if n.Kind != yaml.MappingNode {
			d.problem(n, path, short(n), "", "a group of fields is wanted here")
			return
		}
		m.Set(fd.Message().Fields().ByName("fields"), d.free(n, path).ProtoReflect().Get(fd.Message().Fields().ByName("fields")))
	default:
		d.message(n, m, path)
	}
}

// free reads a group of fields that no descriptor knows: the server does.
func (d *decoder) free(n *yaml.Node, path string) *structpb.Struct {
	out := &structpb.Struct{Fields: map[string]*structpb.Value{}}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		at := join(path, key.Value)
		if _, twice := out.Fields[key.Value]; twice {
			d.problem(key, at, "", "", "the field is given twice")
			continue
		}
		d.lines[at] = key.Line
		out.Fields[key.Value] = d.freeValue(value, at)
	}
	return out
}

func (d *decoder) freeValue(n *yaml.Node, path string) *structpb.Value {
	n, ok := d.enter(n)
	if !ok || isNull(n) {
		return structpb.NewNullValue()
	}
	switch n.Kind {
	case yaml.MappingNode:
		return structpb.NewStructValue(d.free(n, path))
	case yaml.SequenceNode:
		list := &structpb.ListValue{}
		for i, item := range n.Content {
			at := fmt.Sprintf("%s[%d]", path, i)
			d.lines[at] = item.Line
			list.Values = append(list.Values, d.freeValue(item, at))
		}
		return structpb.NewListValue(list)
	}
	switch n.Tag {
	case "!!int", "!!float":
		if v, err := readFloat(n.Value); err == nil {
			return structpb.NewNumberValue(v)
		}
	case "!!bool":
		return structpb.NewBoolValue(strings.EqualFold(n.Value, "true"))
	}
	return structpb.NewStringValue(n.Value)
}

func readTime(s string) (time.Time, error) {
	if t, err := time.Parse("2006-01-02", s); err == nil {
		return t, nil
	}
	return time.Parse(time.RFC3339, s)
}

var errRange = errors.New("out of range")

func (d *decoder) scalar(n *yaml.Node, fd protoreflect.FieldDescriptor, path string) (protoreflect.Value, bool) {
	if n.Kind != yaml.ScalarNode {
		d.problem(n, path, short(n), "", "one value is wanted here")
		return protoreflect.Value{}, false
	}
	text := strings.TrimSpace(n.Value)
	bad := func(allowed, message string) (protoreflect.Value, bool) {
		d.problem(n, path, n.Value, allowed, message)
		return protoreflect.Value{}, false
	}
	switch fd.Kind() {
	case protoreflect.StringKind:
		return protoreflect.ValueOfString(n.Value), true
	case protoreflect.BoolKind:
		switch strings.ToLower(text) {
		case "true", "yes", "on":
			return protoreflect.ValueOfBool(true), true
		case "false", "no", "off":
			return protoreflect.ValueOfBool(false), true
		}
		return bad("yes, no", "yes or no is wanted here")
	case protoreflect.EnumKind:
		ev := enumValue(fd.Enum(), text)
		if ev == nil {
			return bad(strings.Join(enumNames(fd.Enum()), ", "), "not one of the words this field knows")
		}
		return protoreflect.ValueOfEnum(ev.Number()), true
	case protoreflect.Int32Kind, protoreflect.Sint32Kind:
		v, err := strconv.ParseInt(text, 10, 32)
		if err != nil {
			return bad(wholeNumber(text), "not a whole number")
		}
		return protoreflect.ValueOfInt32(int32(v)), true
	case protoreflect.Int64Kind, protoreflect.Sint64Kind:
		v, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return bad(wholeNumber(text), "not a whole number")
		}
		return protoreflect.ValueOfInt64(v), true
	case protoreflect.Uint32Kind:
		v, err := strconv.ParseUint(text, 10, 32)
		if err != nil {
			return bad("a whole number, not negative", "not a whole number")
		}
		return protoreflect.ValueOfUint32(uint32(v)), true
	case protoreflect.Uint64Kind:
		v, err := strconv.ParseUint(text, 10, 64)
		if err != nil {
			return bad("a whole number, not negative", "not a whole number")
		}
		return protoreflect.ValueOfUint64(v), true
	case protoreflect.DoubleKind, protoreflect.FloatKind:
		v, err := readFloat(text)
		if err != nil {
			return bad("a number, for example 0.85", "not a number")
		}
		if fd.Kind() == protoreflect.FloatKind {
			return protoreflect.ValueOfFloat32(float32(v)), true
		}
		return protoreflect.ValueOfFloat64(v), true
	}
	return bad("", "this field cannot be given in a file")
}

// readFloat takes no NaN and no infinity: nothing a person measures is either.
func readFloat(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0, err
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, errRange
	}
	return v, nil
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Tag == "!!null"
}

func short(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a group of fields"
	case yaml.SequenceNode:
		return "a list"
	}
	return cut(n.Value)
}

// cut keeps the beginning of a long text.
func cut(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}
