package document

import (
	"encoding/json"
	"fmt"
	"strings"

	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/structpb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/store"
)

// Kept is a document of a kind that says nothing of how it is folded.
type Kept struct {
	ID      string
	Message proto.Message
}

// Of returns the documents of this kind that the project keeps, by id.
func (k Kind) Of(p *Project) []Kept { return p.kept[k.Name] }

func (k Kind) fold(p *Project, d store.Doc, m proto.Message) error {
	if k.Fold != nil {
		k.Fold(p, d, m)
		return nil
	}
	if p.kept == nil {
		p.kept = map[string][]Kept{}
	}
	p.kept[k.Name] = append(p.kept[k.Name], Kept{d.ID, m})
	if !k.InFile || k.Split != nil {
		return nil
	}
	fields, err := toFields(m)
	if err != nil {
		return err
	}
	id := d.ID
	if id == Only {
		id = ""
	}
	p.File.Extras = append(p.File.Extras, &pb.Extra{Kind: k.Name, Id: id, Fields: fields})
	return nil
}

func (k Kind) split(f *pb.ChurchFile, put func(string, proto.Message)) error {
	if k.Split != nil {
		return k.Split(f, put)
	}
	for i, x := range f.GetExtras() {
		if x.GetKind() != k.Name {
			continue
		}
		m, vs := k.fromFields(x.GetFields(), fmt.Sprintf("extras[%d].fields", i), convert.DisplayOf(f.GetProject(), f.GetBrief()))
		if len(vs) > 0 {
			return fmt.Errorf("document: %s: %s", vs[0].Field, vs[0].Description())
		}
		put(extraID(x), m)
	}
	return nil
}

func extraID(x *pb.Extra) string {
	if x.GetId() == "" {
		return Only
	}
	return x.GetId()
}

// CheckExtras returns what is wrong with the extras of a file.
func CheckExtras(f *pb.ChurchFile) []convert.Violation {
	var out []convert.Violation
	var names []string
	for _, k := range inFile() {
		if k.Split == nil {
			names = append(names, k.Name)
		}
	}
	seen := map[[2]string]int{}
	for i, x := range f.GetExtras() {
		at := fmt.Sprintf("extras[%d]", i)
		k, ok := kinds[x.GetKind()]
		if !ok || !k.InFile || k.Split != nil {
			out = append(out, convert.NoSuch(at+".kind", x.GetKind(), "is no kind of document that stands under extras", names))
			continue
		}
		key := [2]string{k.Name, extraID(x)}
		if first, twice := seen[key]; twice {
			out = append(out, convert.Violation{Field: at + ".id", Code: convert.Duplicate, Given: x.GetId(),
				Reason: fmt.Sprintf("is given twice: extras[%d] has it too", first), Allowed: "an id used once for each kind"})
		}
		seen[key] = i
		_, vs := k.fromFields(x.GetFields(), at+".fields", convert.DisplayOf(f.GetProject(), f.GetBrief()))
		out = append(out, vs...)
	}
	return out
}

// fromFields reads the kind's message from the fields of a file, with the same
// checks as a field of the file's own has.
func (k Kind) fromFields(fields *structpb.Struct, at string, units si.Display) (proto.Message, []convert.Violation) {
	m := k.New()
	if s, ok := m.(*structpb.Struct); ok {
		proto.Merge(s, fields)
		return s, nil
	}
	raw, err := json.Marshal(typed(fields.AsMap(), m.ProtoReflect().Descriptor(), true))
	if err == nil {
		err = protojson.Unmarshal(raw, m)
	}
	if err != nil {
		return nil, []convert.Violation{{Field: at, Code: convert.BreaksRule, Reason: "cannot be read: " + reason(err)}}
	}
	vs := convert.Normalise(m, units)
	if broken, ok := convert.FromValidate(protovalidate.Validate(m)); ok {
		vs = append(broken, vs...)
	}
	for i := range vs {
		vs[i].Field = at + "." + vs[i].Field
	}
	return m, vs
}

// toFields writes a message as the fields of a file.
func toFields(m proto.Message) (*structpb.Struct, error) {
	if s, ok := m.(*structpb.Struct); ok {
		return s, nil
	}
	raw, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(m)
	if err != nil {
		return nil, err
	}
	var fields map[string]any
	if err := json.Unmarshal(raw, &fields); err != nil {
		return nil, err
	}
	return structpb.NewStruct(typed(fields, m.ProtoReflect().Descriptor(), false))
}

// typed turns the quantities of a message's fields between the text that a
// person typed and the message that holds it.
func typed(fields map[string]any, d protoreflect.MessageDescriptor, in bool) map[string]any {
	one := func(fd protoreflect.FieldDescriptor, v any) any {
		if fd.Message() == nil {
			return v
		}
		group, isGroup := v.(map[string]any)
		switch text, isText := v.(string); {
		case fd.Message().FullName() == (&pb.Quantity{}).ProtoReflect().Descriptor().FullName():
			if in && isText {
				return map[string]any{"typed": text}
			}
			if t, ok := group["typed"].(string); ok && !in && t != "" {
				return t
			}
		case isGroup && !fd.IsMap():
			return typed(group, fd.Message(), in)
		}
		return v
	}
	out := map[string]any{}
	for name, v := range fields {
		fd := d.Fields().ByTextName(name)
		list, isList := v.([]any)
		switch {
		case fd == nil:
		case isList && fd.IsList():
			items := make([]any, len(list))
			for i, x := range list {
				items[i] = one(fd, x)
			}
			v = items
		default:
			v = one(fd, v)
		}
		out[name] = v
	}
	return out
}

// reason is an error of the JSON reader without its own place: the file is no JSON.
func reason(err error) string {
	_, text, ok := strings.Cut(strings.ReplaceAll(err.Error(), "\u00a0", " "), "): ")
	if !ok {
		return err.Error()
	}
	return text
}
