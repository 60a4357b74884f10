package sheet

import "fmt"

var (
	_ = register(Kind{Code: "P3", Order: 30, Title: "Plan", Reader: "all", Words: riggingWords, Fill: planSheet})
	_ = register(Kind{Code: "P3b", Order: 31, Title: "Plan of the platform and its lights", Reader: "rigger, electrician", Words: riggingWords, Fill: platformSheet})
)

func planSheet(in *Input, _ Page) Sheet {
	s := PlanScene(*in)
	return Sheet{Scale: scaleText(s.Scale), Blocks: []Block{{Drawing: &s}}}
}

func platformSheet(in *Input, _ Page) Sheet {
	s := PlatformScene(*in)
	return Sheet{Scale: scaleText(s.Scale), Blocks: []Block{{Drawing: &s}}}
}

func scaleText(ratio float64) string { return fmt.Sprintf("1:%.0f", ratio) }
