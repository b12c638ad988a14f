package record

import (
	"strings"
	"unicode"
)

// A meaning is what one word of a column's name says.
type meaning uint8

const (
	saysNothing meaning = iota
	saysTime
	saysCounter
	saysLeft
	saysRight
	saysTotal
	saysForce
	saysVertical
	saysHorizontal
	saysCorner
	saysOther // a quantity that is not a force
)

// meaningOf looks a lower-case word up. Left and right are known in the languages of Europe and a few more.
//
//nolint:misspell // the words are of many languages
func meaningOf(word string) meaning {
	for _, list := range []struct {
		meaning meaning
		words   string
	}{
		{saysTime, " time times timestamp timestamps t zeit zeitstempel temps tiempo tempo tijd tid czas cas čas aika idő zaman время 時間 时间 elapsed seconds millis "},
		{saysCounter, " frame frames sample samples index idx nr no row item count counter bild muestra trame echantillon échantillon campione "},
		{saysLeft, " left lft lt l leftfoot leftleg links linke linken linker linkes li gauche izquierda izquierdo izquierdos izq izqda izqdo esquerda esquerdo esq sinistra sinistro sinistr sin sx vänster vanster vänstra venstre vinstri vasen vasemman lewa lewy lewo levá levý leva levy ľavá lijevi lijeva levo bal stânga stanga αριστερά αριστερο левая левый левое левой лев 左 左足 左脚 왼쪽 왼발 "},
		{saysRight, " right rgt rt r rightfoot rightleg rechts rechte rechten rechter rechtes re droite droit derecha derecho derechos der dcha dcho direita direito dir destra destro destr dx höger hoger högra høyre høyere højre hojre hægri oikea oikean prawa prawy prawo pravá pravý prava pravy desni desna desno jobb dreapta δεξιά δεξί правая правый правое правой прав 右 右足 右脚 오른쪽 오른발 "},
		{saysTotal, " total totals tot totale totaal totalt totaux sum summe summed suma somme som somma soma gesamt gesamtkraft both bilateral combined beide beidbeinig összes toplam сумма общая 合計 总和 합계 "},
		{saysForce, " force forces kraft kräfte krafte fuerza fuerzas forza forze força forca kracht kraftur voima siła sila síla erő kuvvet сила reaction reaktionskraft bodenreaktionskraft grf vgrf grfs load last charge carga carico f plateau plate plates platform platforms plateforme plataforma pedana piattaforma platte platta fp 力 力量 힘 "},
		{saysVertical, " z fz vertical vertically vert verticale verticaal verticaux vertikal vertikale vertikalkraft vgrf grfz grfv fv v pystysuora pionowa вертикальная 垂直 "},
		{saysHorizontal, " x y fx fy fh ap ml horizontal horizontale horizontaal horizontaux anterior posterior medial lateral mediolateral anteroposterior shear grfx grfy "},
		{saysCorner, " front rear back corner cell cells loadcell sensor fl fr rl rr bl br "},
		{saysOther, " mx my mz m moment moments torque cop copx copy px py pz ax ay az velocity speed geschwindigkeit vitesse velocidad power leistung displacement position height höhe weg acceleration accel acc beschleunigung angle winkel emg trigger sync temp temperature marker event date voltage volt stage phase status impulse work energy rfd rate mass body bodyweight asymmetry ratio percent percentage "},
	} {
		if strings.Contains(list.words, " "+word+" ") {
			return list.meaning
		}
	}
	return saysNothing
}

// wordsOf cuts a column's name into lower-case words: at everything that is neither letter nor digit, between letters
// and digits, and before a capital ("LeftFz" is left fz). A chunk that is known as a whole stays whole.
func wordsOf(name string) []string {
	var out []string
	for _, chunk := range strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		for _, run := range splitDigits(chunk) {
			lower := strings.ToLower(run)
			if whole := compound(lower); whole != nil {
				out = append(out, whole...)
				continue
			}
			if meaningOf(lower) != saysNothing {
				out = append(out, lower)
				continue
			}
			for _, part := range splitCapitals(run) {
				out = append(out, strings.ToLower(part))
			}
		}
	}
	return out
}

// compound takes apart the abbreviations in which axis and side are written together.
func compound(word string) []string {
	switch word {
	case "fzl", "lfz", "fzleft", "leftfz":
		return []string{"left", "fz"}
	case "fzr", "rfz", "fzright", "rightfz":
		return []string{"right", "fz"}
	case "grfl", "lgrf", "vgrfl", "lvgrf", "leftgrf", "leftforce", "forceleft":
		return []string{"left", "grf"}
	case "grfr", "rgrf", "vgrfr", "rvgrf", "rightgrf", "rightforce", "forceright":
		return []string{"right", "grf"}
	case "fxl", "lfx", "fyl", "lfy":
		return []string{"left", "fx"}
	case "fxr", "rfx", "fyr", "rfy":
		return []string{"right", "fx"}
	case "totalforce", "forcetotal", "sumforce", "fztotal", "fzsum", "totalfz", "fztot":
		return []string{"total", "force"}
	}
	return nil
}

func splitDigits(s string) []string {
	return splitWhere(s, func(a, b rune) bool { return unicode.IsDigit(a) != unicode.IsDigit(b) })
}

// splitCapitals splits "LeftForce" and "LFz" before the last capital of a run of capitals.
func splitCapitals(s string) []string {
	runes := []rune(s)
	var out []string
	from := 0
	for i := 1; i < len(runes); i++ {
		rises := unicode.IsUpper(runes[i]) && !unicode.IsUpper(runes[i-1])
		falls := i+1 < len(runes) && unicode.IsUpper(runes[i]) && unicode.IsUpper(runes[i-1]) && unicode.IsLower(runes[i+1])
		if rises || falls {
			out = append(out, string(runes[from:i]))
			from = i
		}
	}
	return append(out, string(runes[from:]))
}

func splitWhere(s string, cut func(a, b rune) bool) []string {
	runes := []rune(s)
	var out []string
	from := 0
	for i := 1; i < len(runes); i++ {
		if cut(runes[i-1], runes[i]) {
			out = append(out, string(runes[from:i]))
			from = i
		}
	}
	return append(out, string(runes[from:]))
}
