package sheet

var (
	_ = register(Kind{Code: "P4", Order: 40, Title: "Long section with light angles", Reader: "all", Words: riggingWords, Fill: func(in *Input, _ Page) Sheet {
		s := SectionScene(*in)
		return Sheet{Scale: scaleText(s.Scale), Blocks: []Block{{Drawing: &s}}}
	}})
	_ = register(Kind{Code: "P4a", Order: 41, Title: "Cross section", Reader: "all", Words: riggingWords, Fill: func(in *Input, _ Page) Sheet {
		s := CrossScene(*in)
		return Sheet{Scale: scaleText(s.Scale), Blocks: []Block{{Drawing: &s}}}
	}})
)
