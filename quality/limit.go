package quality

// A Limit is a threshold in force: its value, unit, where the value comes from, and what moves when it is changed.
type Limit struct {
	Key     string
	Value   float64
	Unit    string
	Source  string
	Effect  string
	SetIn   string // the settings file that set it; empty for the default
	Minimum float64
	Maximum float64
}
