package quality

// Cautions stand in the help of the program and of its screens, word for word.
const Cautions = "Maximal jumping can hurt. Warm up; stop on pain; no maximal jumps on an injured or recently operated limb " +
	"unless cleared. A verdict is about a recording: it is no diagnosis and no return-to-play decision. Follow local rules " +
	"and licensed practice. Athlete data are personal: plateside keeps to local files and uses no network."
