package vocab

// whenever are the words before what a symptom comes with.
const whenever = "when|whenever|every time|each time|any time|anytime|only when|as soon as|while|once"

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
		{Verdict, "pass", "", "pass|passes|passing|passed|good|ok~|okay~|fine~|works|work|working|is working|locked|locks|is locked|locked in|has lock|has signal|" +
			"all good~|looks good|looks fine|reads good|strong~|solid~|clean signal|good signal|working fine|works fine|a pass|good to go~|perfect~|great~|checks out|check out|checked out|checks out fine|checks out good|tests good|tests fine|tested good|tested fine|tests okay|tests ok|test good|checked good|checked fine|" +
			"that passes|that is good~|that works~|that is fine~|came back good|comes back good|reads fine|healthy~|no issues~|up and running|up and working|running~|running fine|playing|plays"},
		{Verdict, "fail", "", "fail|fails|failing|failed|failure|bad|no good|not good|down~|a fail|bad signal|not locked|not locking|not passing|not working|that fails|that is bad~|that is no good|tests bad|tested bad|failing out|shot~|toast~|junk~|no bueno~|will not work|does not pass|will not pass|does not work|not any good|" +
			"out of order|out of spec|below spec|not happy|gone bad|went bad|has gone bad|still no good"},
		{NoSignal, "fail", "", "nothing|no lock|lost signal|lost lock|loses signal|dead|no signal|no signal at all|has no signal|zero signal|signal is gone|" +
			"got nothing|nothing at all|searching for signal|no reading|flat line|stone dead|will not lock|does not lock|can not lock|cannot lock|will not lock on|does not lock on|can not get a lock|cannot get a lock|no signal whatsoever|no lock at all|lost the signal|has lost signal|completely dead|dead as a doornail|zilch|nada|no rf|nothing there"},
		{Soft, "", "", "weak|low|a little low|a bit low|a little weak|a bit weak|borderline|marginal|barely|just barely|on the edge|iffy|so so|kind of low|kind of weak|pretty low|pretty weak|very low|very weak|too low|on the low side|shaky|looks weak|looks low|low side|little weak|little low|kinda weak|kinda low|kind of marginal|pretty marginal|really weak|really low|somewhat low|somewhat weak|not great|so and so|touch and go|right on the edge|a touch low|a touch weak|a hair low"},
		{Still, "", "", "still|again|once again|once more|even now"},
		{Repair, "", "", "sorry|i mean|i meant|actually|rather|correction|no sorry|no wait|wait|wait no|oops|make that|no i mean|i said|no actually|scratch that|or rather|excuse me|my mistake|no make that|let me correct that"},
		{UnitUV, "", "", "dbuv|db uv|d b u v|dbµv|dbμv|d b microvolts|decibel microvolts|db microvolts|db u v"},
		{UnitMV, "", "", "dbmv|db mv|d b m v|d b millivolts|decibel millivolts|db millivolts|db m v"},
		{Stand, "", "", "heading to|headed to|heading over to|moving over to|moving on to|walking over to|walking to|headed over to|on to|i am|we are|standing|standing at|i am at|we are at|i am standing|i am standing at|we are standing at|now at|over at|i am over at|up at|i am up at|i am now at|we are now at|we are over at|moving to|i am back at|back at|down at"},
		{Some, "both", "", "both|both of"},
		{Some, "all", "", "all|all of|every|every one of|each|each of|all of the"},
		{Some, "others", "", "other|others|rest of|remaining|the rest of"},
		{Element, "receiver", "", "receiver|receivers|box|boxes|tv|tvs|t v|t vs|set|sets|tv box|tv set|set top box|set top boxes|television|televisions|tv boxes|tv sets"},
		{Element, "fitting", "", "fitting|fittings|connector|connectors|end fitting|f connector|f connectors|compression fitting|compression fittings|compression connector|compression connectors|" +
			"coax fitting|coax fittings|f fitting|f fittings|coax connector|coax connectors"},
		{Side, "dish", "", "in side|dish facing side|incoming side|feed side|sky side"},
		{Side, "receiver", "", "out side|outgoing side|house side|receiver facing side"},
		{Side, "both", "", "both sides|each side|either side|both sides of"},
		{Output, "", "", "output|outputs|port|ports|out|outs|leg|legs|output port|output ports|output number|port number"},
		{Cable, "", "", "cable|coax|coax cable|cables|cable run|coax run|coax line|cable line|run of cable|run of coax|feed line|length of cable|length of coax|piece of cable|piece of coax"},
		{Remark, "outlet", "", "no power|open ground|reversed polarity|open neutral|hot and ground reversed|hot and neutral reversed|polarity reversed|open hot"},
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
		{Degree, "", "", "looks|badly|really|completely|very|totally|partly|pretty|slightly|heavily|hanging|seriously|severely|kind of|a little|a little bit|a bit|mostly|half|quite|super|extremely|just about"},
		{Found, "", "", "found|saw|see|noticed|spotted|i see|i found|there are"},
		{Has, "", "", "has|have|has got"},
		{Bolt, "", "", "bolt|bolts|lag bolt|lag bolts|lag|lags|lag screws|mast bolts|foot bolts|mount bolts|mounting bolts|mount bolt"},
		{Element, "mount", "", "mount|dish mount|mast|pole|mounting foot|mount foot"},
		{Element, "ground_wire", "", "ground wire|grounding wire|ground wires|bonding wire|ground clamp|ground strap"},
		{Element, "lnb", "", "l n b|lnb|lnbs|lnbf|l n b f|feed horn"},
		{Element, "multiswitch", "", "multi switch|multi switches|multiswitch|multiswitches|switch"},
		{Symptom, "freezing", "", "freezes|freezing|freezes up|freezing up|freeze|keeps freezing|froze up|picture freezes|picture freezing|picture is freezing|freeze ups|locks up|locking up|keeps locking up|hangs|stutters|stuttering|skips|skipping"},
		{Symptom, "pixelating", "", "pixelates|pixelating|pixelation|pixelated|pixelate|breaks up|breaking up|tiling|tiles|keeps pixelating|blocky|checkerboards|checkerboarding|gets blocky|all blocky|picture breaks up|picture is breaking up|macroblocking"},
		{Symptom, "dropouts", "", "drops out|dropping out|dropouts|drop outs|dropout|cuts out|cutting out|goes out|going out|drops|keeps dropping out|keeps cutting out|keeps going out|drop out|loses the signal|keeps losing signal|signal drops|signal drops out|signal cuts out|loses picture|loses signal|keeps dropping|keeps dropping signal|keeps cutting in and out|blacks out|keeps losing the signal|losing signal|signal comes in and out"},
		{Symptom, "intermittent", "", "intermittent|comes and goes|coming and going|on and off|off and on|goes in and out|intermittently|cuts in and out|hit or miss|hit and miss|is intermittent|sometimes works|works sometimes|works on and off|works off and on|off and on all day|on and off all day|spotty|flaky"},
		{Symptom, "missing_channels", "", "missing channels|channels missing|some channels missing|missing some channels|lost channels|channels out|no channels|missing a few channels|missing half the channels|channels gone|missing stations|channels are missing|some channels are missing|losing channels|loses channels|losing some channels|loses some channels|lost some channels|channels are out|some channels are out|some channels out|" +
			"half the channels are missing|half the channels missing|half the channels are out|a few channels missing|a few channels are missing|channels not coming in|some channels not coming in|channels drop out|channels are gone|some channels gone|some channels are gone|not getting all the channels|missing a bunch of channels|no local channels|missing the local channels"},
		{Symptom, "no_picture", "", "no picture|black screen|blank screen|no video|picture is out|picture gone|screen is black|no picture at all|lost picture|lost the picture|picture is gone|blue screen|there is no picture|has no picture|blank picture|not getting a picture|screen is blank|screen goes black|screen is dark|blank tv"},
		{When, "rain", "", joined(whenever, "it rains|it is raining|it storms|it is storming|it is wet|raining|it pours|there is a storm|a storm comes through|rain comes|it rains hard|it drizzles|it is wet out|it is wet outside|clouds roll in") + "|" +
			"in the rain|during rain|in rain|after rain|after it rains|during storms|in storms|in heavy rain|during heavy rain|in bad weather|during storms|in wet weather|on rainy days|after a rain|in a storm|with rain|during a storm|in a heavy rain|during rainstorms"},
		{When, "wind", "", joined(whenever, "it is windy|the wind blows|windy|it blows|the wind is up|the wind picks up|the wind is blowing|it gets windy|there is wind|the wind kicks up|the wind gusts|it gusts") + "|" +
			"in the wind|in high wind|in wind|in windy weather|on windy days|in high winds|with wind|during high winds|with the wind|in a strong wind|in strong wind|in strong winds"},
		{When, "heat", "", joined(whenever, "it is hot|hot|it gets hot|it heats up|it warms up|the sun hits it|it is warm|it is hot out|it is hot outside|the sun is out|the sun comes out|it gets warm|the sun gets on it") + "|" +
			"in the heat|in hot weather|on hot days|in the heat of the day|in summer|in the summer|in the sun|in full sun|on a hot day|with heat"},
		{When, "cold", "", joined(whenever, "it is cold|cold|it gets cold|it freezes outside|it is freezing outside|it is cold out|it is cold outside|it cools down|temperature drops") + "|" +
			"in the cold|in cold weather|on cold days|on cold mornings|in winter|in the winter|in the cold mornings|on cold nights|on a cold morning"},
		{When, "night", "", "at night|" + joined(whenever, "it gets dark|it is dark|the sun goes down") + "|" +
			"at night|at nights|every night|in the evening|in the evenings|after dark|evenings|nights|at nighttime|overnight|in the nighttime|after sunset|of an evening|every evening|most nights|during the night|late at night|nightly"},
		{When, "afternoon", "", "in the afternoon|in the afternoons|every afternoon|afternoons|in late afternoon|in the late afternoon|most afternoons|of an afternoon|late afternoons|mid afternoon|around mid afternoon|during the afternoon"},
		{Subject, "", "", "customer is|customer has|customer gets|customer is getting|customer is having|customer has been|they have|they are getting|they get|house has|picture|screen|image|reception"},
	}
}

// doneWords say what was done, and with what. Only what is past is done:
// "replace the LNB" is a plan.
func doneWords() []group {
	return []group{
		{Action, "replaced", "", "replaced|changed|swapped out|changed out|switched out|put a new|put on a new|put in a new|swapped in a new|renewed"},
		{Action, "re_terminated", "", "re terminated|reterminated|terminated|re ended|recrimped|re crimped|re made|remade|redid|re did|re cut|put new ends on"},
		{Action, "tightened", "", "tightened|re tightened|retightened|tightened up|tightened down|snugged|snugged up|torqued|cranked down"},
		{Action, "re_aimed", "", "re aimed|reaimed|realigned|re aligned|re pointed|repointed|peaked|re peaked|repeaked|peaked up|fine tuned|aligned|peaked out"},
		{Action, "removed", "", "removed|took out|taken out|pulled out|pulled"},
		{Action, "added", "", "added|installed|put in|put in place"},
		{Action, "rerouted", "", "rerouted|re routed|re ran"},
		{Action, "bypassed", "", "bypassed|by passed|jumped around|went around"},
		{Action, "swapped", "", "swapped|switched|exchanged|traded|switched around|swapped around"},
		{Action, "moved", "", "moved|relocated|moved over|shifted"},
		{Action, "cleaned", "", "cleaned|cleaned up|cleaned off|dried|dried out|dried off|wiped|wiped down|dried up|scrubbed|wiped off|cleaned out|blew out"},
		{Action, "sealed", "", "sealed|sealed up|weatherproofed|weather proofed|taped|taped up|waterproofed|re sealed|resealed"},
		{Action, "trimmed", "", "trimmed|trimmed back|cut back|cut off|trimmed off"},
		{Action, "restored", "", "restored|reinstalled|re installed|put back|put back in"},
		{Action, "reset", "", "reset|rebooted|power cycled|restarted|re booted|did a reset on|unplugged and replugged"},
		{Action, "plugged_in", "", "plugged in|plugged back in|plugged|hooked up|hooked back up|powered up"},
		{Ran, "", "", "ran new|ran a new|ran|pulled new|pulled a new|strung new|ran all new|ran some new|laid new"},
		{Put, "", "", "put|stuck|screwed"},
		{Took, "", "", "took"},
		{Particle, "", "", "around|over|down|back|off|up|back in|back out|back up|back on|back in place|in place"},
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
		{Item, "sealant", "", "sealant|silicone|tube of sealant|caulk|tube of silicone|tube of caulk|sealer"},
		{Item, "lag_bolt", "", "lag bolt|lag bolts|lag screws"},
		{Item, "zip_tie", "", "tie|zip tie|zip ties|cable tie|cable ties|tie wrap|tie wraps"},
		{Item, "drip_loop", "", "drip loop|drip loops"},
		{Used, "", "", "parts used|used parts|materials used|parts|parts are|used|materials|went through|used up|i used|material used"},
	}
}

// toldWords tell the times and the turns of a call.
func toldWords() []group {
	return []group{
		{Time, "arrived", "", "arrived|on site|i am here|we are here|just arrived|just got here|arrived on site|at the job|made it|on the job site|i just got here|just pulled up|got here|made it here|at the house|at the customer house"},
		{Time, "en_route", "", "hitting the road|on my way to the job|on the road to the job|on the way to the job|on my way there|driving over|leaving for the job|on the road|on my way|en route|driving to the job|heading over|heading to the job|headed to the job|on the way|rolling|rolling to the job|heading out to the job|i am rolling"},
		{Time, "departed", "", "leaving|leaving now|leaving the site|leaving site|heading out|taking off|i am leaving|i am out of here|headed out|pulling out|rolling out|i am leaving the site|leaving the job"},
		{Time, "break_start", "", "lunch|going to lunch|starting lunch|taking lunch|taking my lunch|at lunch|on lunch|taking a break|lunch break|on break|off to lunch|breaking for lunch|going on break|taking my break|start lunch|lunch time|lunch now|stopping for lunch|going for lunch"},
		{Time, "break_end", "", "back from lunch|back from break|back to work|lunch is over|end of lunch|done with lunch|lunch is done|back on the clock|finished lunch|break is over"},
		{Time, "no_access", "", "no access|no answer|no answer at the door|no answer at door|locked gate|locked out|gate is locked|the gate is locked can not get in|gate is locked can not get in|gate locked|can not get in|cannot get in|can not get access|could not get in|knocked no answer|" +
			joined("nobody|no one|nobody is|no one is|no body|nobody was|no one was", "home|at home|here|there|answering|answering the door|around|coming to the door|in the house") + "|" +
			joined("nobody|no one", "answers|answers the door|answered|answered the door|came to the door|comes to the door|answers the phone|here to let me in") + "|" +
			joined("customer not|customer is not|homeowner not|homeowner is not|they are not|customers are not|owner is not|tenant is not|customer", "home|at home|here|answering|answering the door|answering the phone|available|around|there|not answering|no show|no showed") + "|customer never showed|customer no show"},
		{Time, "shop_time", "", "shop time|at the shop|in the shop|starting at the shop"},
		{Time, "back_at_shop", "", "back at the shop|back at shop"},
		{Time, "meeting", "", "meeting|in a meeting|team meeting|safety meeting|in the meeting"},
		{Time, "training", "", "training|in training|training class"},
		{Time, "day_end", "", "end of day|done for the day|day is done|end of the day|calling it a day|clocking out"},
		{Past, "no_access", "", "customer was not home|customer was not there|customer was not at home|homeowner was not home|they were not home"},
		{Past, "departed", "", "we left already|i left already|already left|we already left|left|left the site|left the job|we left|i left|left already|took off|headed out at|departed|left site|left the house"},
		{Past, "arrived", "", "got here|arrived|showed up|made it here|pulled up|got to the job|got to the site|got on site|got there|rolled up"},
		{Past, "break_start", "", "had lunch|took lunch|took my lunch|had my lunch|started lunch|lunch|took my lunch break|took a lunch|took a break|had a break|went to lunch|took lunch break|ate lunch|took my break|lunch break|break"},
		{Past, "break_end", "", "got back from lunch|back from lunch|finished lunch|came back from lunch|ended lunch"},
		{Past, "en_route", "", "hit the road|started driving|set off|got on the road|on the road|on my way"},
		{Was, "", "", "was|was at|was really|should be|should have been"},
		{Outcome, "no_fault_found", "", "no fault found|nothing wrong|nothing found|everything tests good|everything checks out|everything tests fine|everything checks good|" +
			joined("no|found no|could not find a|could not find any|can not find a|can not find any|cannot find a|cannot find any|did not find a|did not find any|never found a|have not found a", "fault|faults|trouble|problem|problems|issue|issues") + "|" +
			joined("no", "fault found|faults found|trouble found|troubles found|problem found|problems found|issue found|issues found|fault here|trouble found here") + "|" +
			joined("found|could not find|can not find|cannot find|did not find", "nothing wrong|anything wrong|nothing wrong here|anything wrong here|nothing")},
		{Outcome, "rescheduled", "", "rescheduled|reschedule|had to reschedule|rebooked|reschedule it|rescheduling|postponed|pushed back|pushed it back|pushed out|bumped|put off|" +
			joined("customer|customer has|we|we have|job is|job was|this is|they|appointment is|call is|homeowner", "rescheduled|rebooked|postponed") + "|" +
			joined("customer wants to|customer needs to|customer asked to|wants to|needs to|need to|have to|customer would like to|they want to|going to have to", "reschedule|reschedule it")},
		{Outcome, "needs_help", "", "needs a second technician|two man job|two person job|second technician needed|second tech needed|help needed|" +
			joined("needs|need|this needs|we need|going to need|will need|requires|it needs|job needs|this is going to need|this job needs|this one needs|calling for|have to get|got to have|this will take|this takes|this will need",
				"a second technician|second technician|a second tech|second tech|help|two people|another technician|another tech|a second man|a hand|a helper|a second person|another person|another set of hands|a second pair of hands|another pair of hands|two techs|two technicians|a two man crew|some help|another guy")},
		{Correct, "", "", "should be|that should be|that should have been|it should have been|it should be|that needs to be|that has to be|change it|fix that|that is wrong it is|that is wrong|wrong it is|that was wrong|that was wrong it is|i misread that|i misspoke|i meant to say|should say|that should say|that is not right it is|change the last one to|i got that wrong|change that one to|that one was|last one was|the last one was|last one should be|the last one should be|that last one was|that reading was|that last one should be|update that to|change that reading to|make that one"},
		{Scratch, "", "", "scratch that|scratch|never mind that|never mind that last one|never mind the last one|forget the last one|forget that one|cancel the last one|cancel that one|drop the last one|drop that|erase that|erase the last one|delete that|delete that one|undo that|take that back|strike that|ignore that|disregard that|scratch that last one|scratch the last one|cancel that|forget that|throw that out|remove that|remove the last one|delete the last entry|remove that entry|delete that entry|cancel that last reading|delete the last reading|scratch that reading|scratch the last reading"},
		{JobWord, "", "", "job|job number"},
		{BackTo, "", "", "back to|go back to|switch to|return to|back on|switch back to|switching to|going back to|go to|change to|change over to"},
		{WrongJob, "", "", "wrong job|wrong job number|job number is wrong|that is the wrong job|this is the wrong job"},
		{Refused, "", "", "customer would not take|customer did not want the|customer does not want any|customer did not want any|customer waived|waived|customer passed on|skipped|customer refused|refused|declined|customer declined|refused by the customer|customer did not want|customer does not want|customer skipped"},
		{Consent, "yes", "", "recording is fine|recording is okay|recording is ok|recording fine|recording okay|recording ok|recording allowed|okay to record|ok to record|recording is good|recording is all right|they are fine with recording|customer is fine with recording|customer agreed to recording"},
		{Consent, "no", "", "no recording|stop recording|do not record|recording not allowed|recording refused|recording is not allowed|recording is not okay|recording is not fine|customer does not want recording|turn off recording"},
		{Question, "next", "", "what should i do next|what do i do next|what do i do now|where should i go next|where do i go next|where do i measure next|what do i measure next|what is next|where to next|where do i go from here|what should i check next|what should i measure next|where should i check next|next step|what is the next step|which point is next|what do i test next|where do i test next|what should i test next|what do i check next"},
		{Question, "fault", "", "what do you think is wrong|what do you think it is|where do you think the fault is|what is the fault|what is the problem|where is the trouble|what is bad|which part is bad|what is causing it|what is the cause|so what is wrong|any idea what is wrong|what is the likely fault|what is wrong with it|what is wrong here"},
		{Question, "missing", "", "what is left to do|what do i have left|what have i got left|what is still missing|what else is missing|what did i miss|what did i forget|what am i missing|am i missing anything|did i miss anything|anything missing|what is left|what have i got left to do|what have we got left|what do we have left|what do i still need|what do i still have to do|what else do i need to do|what else is left|what still needs doing|what checks are left|what have i not done"},
		{Question, "read_back", "", "read it back to me|read that back to me|read me what you have|what do you have so far|what have you got so far|what have you got|read back what you have|read me that back|read back the last one|what did i say|what have i said so far|read everything back|read it all back|read them back"},
		{Question, "explain", "", "how do i explain it to the customer|what do i tell the customer|what should i tell the customer|explain this to the customer|how do i explain this to the customer|explain it in plain words|how do i explain this"},
		{Question, "history", "", "what happened here last time|what was done here before|what was done here last time|any history here|have we been here before|history of this address|what is the history|what is the history here|last visit|what was wrong last time"},
		{Question, "words", "", "help|what can i say|what do i say|help me|what can you do|show me the words|what are my options"},
		{Control, "repeat", "", "repeat|say again|say that again|repeat that|repeat the question|pardon|come again|what was that|what was the question|say it again|ask again|ask me again"},
		{Not, "", "", "not|never|does not|did not|do not|is not|are not|will not|has not|have not|can not|cannot|could not|would not|was not"},
		{And, "", "", "and|but|and then|plus"},
		{Filler, "", "", "i show|we show|comes up|came up|meter shows|meter says|meter reads|meter is showing|meter is reading|meter has|meter is at|my meter says|my meter shows|my meter reads|down to|up to|back up to|went ahead and|went and|up on the roof|up on the ladder|on the ladder|up on a ladder|out of it|there|only|for this|for this one|on this one|with this|with this one|here|i am done here|i am all done here|we are done here|we are all done here|i am finished here|in the house|in the home|in this house|done here|all done here|finished here|on the roof|up here|down here|in here|this one|the whole|the|of|a|an|is|are|am|uh|um|er|ah|hmm|i|we|it|got|getting|gets|have|has|okay|ok|so|well|then|now|please|reads|reading|" +
			"number|level|signal level|power level|signal|worst|worst is|lowest|comes in|came in|measures|measured|measuring|shows|showing|that is|there is|my|alright|all right|right now|just|right here|here at|over here|real quick|yeah|dc|in at|also|reading is|it says|got a|i am getting|we are getting|i am reading|sitting|sitting at|is at|coming in|out here|hey|and it"},
	}
}
