package command

type loadCmd struct {
	Circuits  loadCircuitsCmd  `cmd:"" help:"New circuits, panel and the load of every leg, step by step."`
	House     loadHouseCmd     `cmd:"" help:"House lights: tracing, dimmers, lamps, light and payback."`
	Hanging   loadHangingCmd   `cmd:"" help:"What each line would carry, hardware ratings, machines and hours at height."`
	Questions loadQuestionsCmd `cmd:"" help:"Questions for the electrician, the engineer and the rigger, and their answers."`
}
