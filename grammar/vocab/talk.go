package vocab

// ownWords are the words people have for what they see, do and notice, beyond
// those of the speech grammar: the talker (talk.go) reads them, typed or
// dictated. A row here takes the place of a row of the same words there. To
// add a word, add it to the group of its meaning: "toast" to the verdict fail.
func ownWords() []group {
	out := append(shownWords(), seenWords()...)
	return append(append(out, doneWords()...), toldWords()...)
}

// OwnRows are the rows of ownWords.
func OwnRows() []Row {
	var out []Row
	for _, g := range ownWords() {
		out = append(out, g.rows()...)
	}
	return out
}

// shownWords say what a meter or a receiver showed.
func shownWords() []group {
	return []group{
		{Verdict, "pass", "", "pass|passes|passing|passed|good|ok|okay|fine|works|work|working|is working|locked|locks|is locked|locked in|has lock|has signal|" +
			"all good|looks good|looks fine|reads good|strong|solid|clean signal|good signal|working fine|works fine|a pass|good to go|perfect|great"},
		{Verdict, "fail", "", "fail|fails|failing|failed|failure|bad|no good|not good|down|a fail|bad signal|not locked|not locking|not passing|not working"},
		{NoSignal, "fail", "", "nothing|no lock|lost signal|lost lock|loses signal|dead|no signal|no signal at all|has no signal|zero signal|signal is gone|" +
			"got nothing|nothing at all|searching for signal|no reading|flat line|stone dead"},
		{Soft, "", "", "weak|low|a little low|a bit low|a little weak|a bit weak|borderline|marginal|barely|just barely|on the edge|iffy|so so|kind of low|kind of weak|pretty low|pretty weak|very low|very weak|too low|on the low side|shaky"},
		{Still, "", "", "still|again"},
		{Repair, "", "", "sorry|i mean|i meant|actually|rather|correction|no sorry|no wait|wait|wait no|oops|make that|no i mean|i said|no actually|scratch that|or rather|excuse me|my mistake|no make that|let me correct that"},
		{UnitUV, "", "", "dbuv|db uv|d b u v|dbµv|dbμv|d b microvolts|decibel microvolts|db microvolts|db u v"},
		{UnitMV, "", "", "dbmv|db mv|d b m v|d b millivolts|decibel millivolts|db millivolts|db m v"},
		{Stand, "", "", "i am|we are|standing|standing at|i am at|we are at|i am standing|i am standing at|we are standing at|now at|over at|i am over at|up at|i am up at|i am now at|we are now at|we are over at|moving to|i am back at|back at|down at"},
		{Some, "both", "", "both|both of"},
		{Some, "all", "", "all|all of|every"},
		{Some, "others", "", "other|others|rest of|remaining"},
		{Element, "receiver", "", "receiver|receivers|box|boxes|tv|tvs|t v|t vs|set|sets|tv box|tv set|set top box|set top boxes|television|televisions|tv boxes|tv sets"},
		{Element, "fitting", "", "fitting|fittings|connector|connectors|end fitting|f connector|f connectors|compression fitting|compression fittings|compression connector|compression connectors|" +
			"coax fitting|coax fittings|f fitting|f fittings|coax connector|coax connectors"},
		{Side, "dish", "", "in side|dish facing side"},
		{Room, "kids room", "", "kids room|kids bedroom|children room"},
		{Room, "master bedroom", "", "master bedroom|main bedroom|master"},
		{Room, "guest room", "", "guest room|guest bedroom|spare room|spare bedroom"},
		{Room, "main", "", "main"},
		{Room, "game room", "", "game room"},
		{Room, "bonus room", "", "bonus room"},
		{Room, "sun room", "", "sun room|sunroom"},
		{Room, "play room", "", "play room|playroom"},
		{Room, "patio", "", "patio"},
		{Room, "back bedroom", "", "back bedroom"},
		{Room, "front bedroom", "", "front bedroom"},
		{Room, "back room", "", "back room"},
		{Room, "loft", "", "loft"},
		{Room, "shop", "", "workshop"},
		{Room, "barn", "", "barn"},
		{Room, "library", "", "library"},
		{Room, "bar", "", "bar"},
		{Room, "gym", "", "gym"},
		{Room, "great room", "", "great room"},
		{Room, "media room", "", "media room|theater room|theater|tv room"},
		{Room, "utility room", "", "utility room|mud room"},
		{Room, "closet", "", "closet"},
	}
}

// seenWords say what is seen, and what the people of the house notice.
func seenWords() []group {
	return []group{
		{Condition, "wet", "", "wet|soaked|damp|soaking wet|waterlogged|full of water|filled with water|flooded"},
		{Condition, "corroded", "", "corroded|rusted|rusty|rusted out|rusted through|oxidized|all corroded"},
		{Condition, "loose", "", "loose|came loose|coming loose|come loose|wobbly|wobbling|finger loose|finger tight|hand tight|not tight|undone"},
		{Condition, "cut", "", "cut|severed|chewed|chewed up|chewed through|cut through|nicked|frayed|torn|sliced"},
		{Condition, "kinked", "", "kinked|kinked up|bent over|creased"},
		{Condition, "dented", "", "dented|bent|warped|bent up|banged up"},
		{Condition, "blocked", "", "blocked|obstructed|blocked by trees|blocked by a tree|blocked by tree"},
		{Condition, "missing", "", "missing|gone|not there"},
		{Condition, "burnt", "", "burnt|burned|melted|scorched|burnt out|burned out|burnt up|burned up|charred|fried"},
		{Condition, "pinched", "", "pinched|crushed|squashed|stapled|squeezed|flattened|smashed"},
		{Stuff, "wet", "", "water|moisture|rain water|condensation|water damage"},
		{Stuff, "corroded", "", "corrosion|rust|green stuff|oxidation"},
		{Stuff, "pinched", "", "staples|staple|nail|screw|nails"},
		{Stuff, "dented", "", "dent|dents|dent in it|big dent"},
		{Stuff, "kinked", "", "kink|kinks|sharp bend"},
		{Stuff, "cut", "", "nick|chew marks|teeth marks|bite marks|a cut"},
		{Stuff, "burnt", "", "burn marks|burn mark|scorch marks"},
		{Stuff, "blocked", "", "trees|tree|branches|branch|tree branch|tree branches|limb|limbs|leaves|building"},
		{Found, "", "", "found|saw|see|noticed|spotted|i see|i found|there are"},
		{Has, "", "", "has|have|has got"},
		{Bolt, "", "", "bolt|bolts|lag bolt|lag bolts|lag|lags|lag screws|mast bolts|foot bolts|mount bolts|mounting bolts|mount bolt"},
		{Element, "mount", "", "mount|dish mount|mast|pole|mounting foot|mount foot"},
		{Element, "ground_wire", "", "ground wire|grounding wire|ground wires|bonding wire|ground clamp|ground strap"},
		{Element, "lnb", "", "l n b|lnb|lnbs|lnbf|l n b f|feed horn"},
		{Element, "multiswitch", "", "multi switch|multi switches|multiswitch|multiswitches|switch"},
		{Symptom, "freezing", "", "freezes|freezing|freezes up|freezing up|freeze|keeps freezing|froze up|picture freezes|picture freezing|picture is freezing|freeze ups"},
		{Symptom, "pixelating", "", "pixelates|pixelating|pixelation|pixelated|pixelate|breaks up|breaking up|tiling|tiles|keeps pixelating|blocky|picture breaks up|picture is breaking up|macroblocking"},
		{Symptom, "dropouts", "", "drops out|dropping out|dropouts|drop outs|dropout|cuts out|cutting out|goes out|going out|drops|keeps dropping out|keeps cutting out|keeps going out|drop out|loses the signal|keeps losing signal|signal drops"},
		{Symptom, "intermittent", "", "intermittent|comes and goes|coming and going|on and off|off and on|goes in and out|intermittently|cuts in and out"},
		{Symptom, "missing_channels", "", "missing channels|channels missing|some channels missing|missing some channels|lost channels|channels out|no channels|missing a few channels|missing half the channels|channels gone|missing stations|channels are missing|some channels are missing"},
		{Symptom, "no_picture", "", "no picture|black screen|blank screen|no video|picture is out|picture gone|screen is black|no picture at all"},
		{When, "rain", "", "when it rains|when it is raining|in the rain|when raining|during rain|in rain|after rain|after it rains|during storms|in storms|in heavy rain|when it storms|every time it rains|during heavy rain"},
		{When, "wind", "", "when it is windy|in the wind|when the wind blows|in high wind|when windy|in wind|when it blows|in windy weather|when the wind is up|when the wind picks up|on windy days"},
		{When, "heat", "", "in the heat|when it is hot|when hot|in hot weather|on hot days|when it gets hot|in the heat of the day|in summer|when it heats up|when it warms up"},
		{When, "cold", "", "in the cold|when it is cold|when cold|in cold weather|on cold days|when it gets cold|on cold mornings|in winter|when it freezes outside"},
		{When, "night", "", "at night|at nights|every night|in the evening|in the evenings|after dark|evenings|nights|at nighttime|overnight"},
		{When, "afternoon", "", "in the afternoon|in the afternoons|every afternoon|afternoons|in late afternoon|in the late afternoon"},
		{Subject, "", "", "picture|screen|image|reception"},
	}
}

// doneWords say what was done, and with what. Only what is past is done:
// "replace the LNB" is a plan.
func doneWords() []group {
	return []group{
		{Action, "replaced", "", "replaced|changed|swapped out|changed out|switched out|put a new"},
		{Action, "re_terminated", "", "re terminated|reterminated|terminated|re ended|recrimped|re crimped|re made|remade|redid|re did|re cut|put new ends on"},
		{Action, "tightened", "", "tightened|re tightened|retightened|tightened up|tightened down|snugged|snugged up|torqued|cranked down"},
		{Action, "re_aimed", "", "re aimed|reaimed|realigned|re aligned|re pointed|repointed|peaked|re peaked|repeaked|peaked up|fine tuned|aligned|peaked out"},
		{Action, "removed", "", "removed|took out|taken out|pulled out|pulled"},
		{Action, "added", "", "added|installed|put in|put in place"},
		{Action, "rerouted", "", "rerouted|re routed|re ran"},
		{Action, "bypassed", "", "bypassed|by passed|jumped around|went around"},
		{Action, "swapped", "", "swapped|switched|exchanged|traded|switched around|swapped around"},
		{Action, "moved", "", "moved|relocated|moved over|shifted"},
		{Action, "cleaned", "", "cleaned|cleaned up|cleaned off|dried|dried out|dried off|wiped|wiped off|cleaned out|blew out"},
		{Action, "sealed", "", "sealed|sealed up|weatherproofed|weather proofed|taped|taped up|waterproofed|re sealed|resealed"},
		{Action, "trimmed", "", "trimmed|trimmed back|cut back|cut off|trimmed off"},
		{Action, "restored", "", "restored|reinstalled|re installed|put back|put back in"},
		{Action, "reset", "", "reset|rebooted|power cycled|restarted|re booted|did a reset on|unplugged and replugged"},
		{Action, "plugged_in", "", "plugged in|plugged back in|plugged|hooked up|hooked back up|powered up"},
		{Ran, "", "", "ran new|ran a new|ran|pulled new|pulled a new|strung new|ran all new|ran some new|laid new"},
		{Put, "", "", "put|stuck|screwed"},
		{Took, "", "", "took"},
		{Particle, "", "", "back|off|up|back in|back out|back up|back on|back in place|in place"},
		{With, "", "", "with|using|and put in"},
		{By, "", "", "by"},
		{Role, "electrician", "", "electrician|licensed electrician"},
		{Role, "second technician", "", "second technician|second tech|other technician|other tech|helper"},
		{Role, "roofer", "", "roofer"},
		{Role, "plumber", "", "plumber"},
		{New, "", "", "new|brand new|fresh"},
		{Old, "", "", "old|original|damaged|faulty|cracked|defective|suspect"},
		{Ends, "", "", "ends|end|cable ends|coax ends|cable end|coax end"},
		{Thing, "", "", "new one|another one|a new one|the new one|fresh one"},
		{Item, "weather_boot", "", "weather boot|weather boots|boot|boots|weather seal|weather seals|rubber boot|rubber boots"},
		{Item, "cable_clip", "", "cable clip|cable clips|clip|clips|cable staple"},
		{Item, "ground_clamp", "", "ground clamps"},
		{Item, "sealant", "", "sealant|silicone|tube of sealant|caulk"},
		{Item, "lag_bolt", "", "lag bolt|lag bolts|lag screws"},
		{Item, "zip_tie", "", "zip tie|zip ties|cable tie|cable ties|tie wrap|tie wraps"},
		{Item, "drip_loop", "", "drip loop|drip loops"},
		{Used, "", "", "used|materials|went through|used up|i used|material used"},
	}
}

// toldWords tell the times and the turns of a call.
func toldWords() []group {
	return []group{
		{Time, "arrived", "", "arrived|on site|i am here|we are here|just arrived|just got here|arrived on site|at the job|made it|on the job site|i just got here|just pulled up|got here|made it here|at the house|at the customer house"},
		{Time, "en_route", "", "on the road|on my way|en route|driving to the job|heading over|heading to the job|headed to the job|on the way|rolling|rolling to the job|heading out to the job|i am rolling"},
		{Time, "departed", "", "leaving|leaving now|leaving the site|leaving site|heading out|taking off|i am leaving|i am out of here|headed out|pulling out|rolling out|i am leaving the site|leaving the job"},
		{Time, "break_start", "", "lunch|going to lunch|starting lunch|taking lunch|taking my lunch|at lunch|on lunch|taking a break|lunch break|on break|off to lunch|breaking for lunch|going on break|taking my break|start lunch|lunch time|lunch now|stopping for lunch|going for lunch"},
		{Time, "break_end", "", "back from lunch|back from break|back to work|lunch is over|end of lunch|done with lunch|lunch is done|back on the clock|finished lunch|break is over"},
		{Time, "no_access", "", "customer not home|nobody home|no access|customer is not home|customer is not at home|customer not at home|no one home|no one is home|nobody is home|" +
			"nobody answers|no one answers|nobody answers the door|no answer|no answer at the door|no one answers the door|nobody answered|no one answered|nobody is here|no one here|nobody is answering|customer is not here|customer is not answering|locked gate|locked out|can not get in|cannot get in|nobody came to the door"},
		{Time, "shop_time", "", "shop time|at the shop|in the shop|starting at the shop"},
		{Time, "back_at_shop", "", "back at the shop|back at shop"},
		{Time, "meeting", "", "meeting|in a meeting|team meeting|safety meeting|in the meeting"},
		{Time, "training", "", "training|in training|training class"},
		{Time, "day_end", "", "end of day|done for the day|day is done|end of the day|calling it a day|clocking out"},
		{Past, "departed", "", "left|left the site|left the job|we left|i left|left already|took off|headed out at|departed|left site|left the house"},
		{Past, "arrived", "", "got here|arrived|showed up|made it here|pulled up|got to the job|got to the site|got on site|got there|rolled up"},
		{Past, "break_start", "", "had lunch|took lunch|took my lunch|had my lunch|started lunch|lunch|took my lunch break|took a lunch|took a break|had a break|went to lunch|took lunch break|ate lunch|took my break|lunch break|break"},
		{Past, "break_end", "", "got back from lunch|back from lunch|finished lunch|came back from lunch|ended lunch"},
		{Past, "en_route", "", "hit the road|started driving|set off|got on the road|on the road|on my way"},
		{Was, "", "", "was|was at|was really|should be|should have been"},
		{Outcome, "no_fault_found", "", "no fault found|found no fault|no trouble found|nothing wrong found|found nothing wrong|no problem found|found no problem|could not find a fault|could not find any fault|could not find anything wrong|nothing found|no faults found|everything tests good"},
		{Outcome, "rescheduled", "", "rescheduled|reschedule|customer rescheduled|had to reschedule|rebooked|job is rescheduled|reschedule it"},
		{Outcome, "needs_help", "", "needs a second technician|need a second technician|need a second tech|needs a second tech|need help|needs help|needs two people|need two people|need another technician|" +
			"needs another technician|need another tech|needs another tech|second technician needed|this needs a second technician|two man job|need a second man|needs a second man|need a hand|need a helper|needs a helper"},
		{JobWord, "", "", "job|job number"},
		{BackTo, "", "", "back to|go back to|switch to|return to|back on|switch back to|switching to|going back to|go to|change to|change over to"},
		{WrongJob, "", "", "wrong job|wrong job number|job number is wrong|that is the wrong job|this is the wrong job"},
		{Refused, "", "", "customer refused|refused|declined|customer declined|refused by the customer|customer did not want|customer does not want|customer skipped"},
		{Consent, "yes", "", "recording is fine|recording is okay|recording is ok|recording fine|recording okay|recording ok|recording allowed|okay to record|ok to record|recording is good|recording is all right|they are fine with recording|customer is fine with recording|customer agreed to recording"},
		{Consent, "no", "", "no recording|stop recording|do not record|recording not allowed|recording refused|recording is not allowed|recording is not okay|recording is not fine|customer does not want recording|turn off recording"},
		{Question, "words", "", "help|what can i say|what do i say|help me|what can you do|show me the words|what are my options"},
		{Control, "repeat", "", "repeat|say again|say that again|repeat that|repeat the question|pardon|come again|what was that|what was the question|say it again|ask again|ask me again"},
		{Not, "", "", "not|never|does not|did not|do not|is not|are not|will not|has not|have not|can not|cannot|could not|would not|was not"},
		{Filler, "", "", "the|of|a|an|is|are|am|uh|um|er|ah|hmm|i|we|it|got|getting|gets|have|has|okay|ok|so|well|then|now|please|reads|reading|" +
			"number|level|signal level|power level|signal|worst|worst is|lowest|comes in|came in|measures|measured|measuring|shows|showing|that is|there is|my|alright|all right|right now|just|right here|here at|over here|real quick|yeah|dc|in at|also|reading is|it says|got a|i am getting|we are getting|i am reading|sitting|sitting at|is at|coming in|out here|hey|and it"},
	}
}
