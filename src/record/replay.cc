// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/replay.h"

#include <unistd.h>

#include <algorithm>

#include "input/case_keys.h"
#include "input/count_pages.h"
#include "input/filmed_pages.h"
#include "input/frame_format.h"
#include "input/ini_file.h"
#include "ohmglow/base/error.h"
#include "record/answer_text.h"
#include "record/board_text.h"
#include "record/link.h"
#include "record/running_answer.h"
#include "record/session.h"

namespace ohmglow::record {
namespace {

class Film {
 public:
  Film(const ReplayOptions& options,
       const std::filesystem::path& case_file,
       const std::filesystem::path& out)
      : options_(options),
        job_(LoadCase(case_file)),
        pages_(OpenPages(case_file)),
        writer_(out, ReadBoardText(case_file), Kind(job_)),
        answers_(options.locate),
        text_(options.words),
        sure_(options.until) {}

  bool Play(const std::function<void(const std::string&)>& say) {
    const double first_s = job_.frame_times_s.front();
    const double start_s = NowSeconds();
    // A film that was not ended: frames or times may be ahead.
    const int count = std::min(pages_->count(), static_cast<int>(job_.frame_times_s.size()));
    for (int n = 0; n < count; ++n) {
      const double time_s = job_.frame_times_s[static_cast<std::size_t>(n)];
      const double wait_s = start_s + (time_s - first_s) / options_.speed - NowSeconds();
      if (wait_s > 0) ::usleep(static_cast<useconds_t>(1e6 * wait_s));
      cv::Mat counts;
      pages_->Read(n, counts);
      writer_.AddFrame(time_s, counts);
      AddSupply(time_s);
      if (Look(time_s - first_s, say)) break;
    }
    writer_.Finish();
    return sure_.enough();
  }

 private:
  static std::unique_ptr<CountPages> OpenPages(const std::filesystem::path& case_file) {
    const IniFile ini(case_file, CaseKeys());
    const auto source = ini.Find("frames.source");
    if (!source) throw InputError(case_file.string() + ": names no frames");
    if (const auto times = ini.Find("frames.growing")) {
      return OpenFilmed(case_file.parent_path() / source->value,
                        case_file.parent_path() / times->value,
                        ReadFrameFormat(ini));
    }
    return OpenCounts(case_file.parent_path() / source->value, ReadFrameFormat(ini));
  }

  static FilmKind Kind(const Case& job) {
    if (!job.supply) return FilmKind::kSteps;
    return job.clock_offset_s ? FilmKind::kOneClock : FilmKind::kTwoClocks;
  }

  // What the supply had said by then, or which levels had been set.
  void AddSupply(double time_s) {
    if (!job_.supply) {
      for (; level_ < job_.levels.size(); ++level_) {
        const SetLevel& level = job_.levels[level_];
        if (!level.start_s && level_ > 0)
          throw InputError("levels without times cannot be replayed");
        if (level.start_s.value_or(0) > time_s) return;
        writer_.AddStep(level.start_s.value_or(0), level.amps_a, level.within_s);
      }
      return;
    }
    const SupplyLog& log = *job_.supply;
    const double offset_s = job_.clock_offset_s.value_or(0);
    for (; row_ < log.time_s.size() && log.time_s[row_] + offset_s <= time_s; ++row_) {
      writer_.AddReading(log.time_s[row_] + offset_s, log.volts_v[row_], log.amps_a[row_]);
    }
  }

  bool Look(double filmed_s, const std::function<void(const std::string&)>& say) {
    if (const auto answer = answers_.Take()) {
      const Words& words = options_.words;
      const std::string head =
          words.Fill("state.replay", {{"now", NumberText(words, "%3.0f", filmed_s)}});
      if (!answer->result) {
        say(head + "  " + words.Get("state.nothing"));
      } else {
        const double all_s = job_.frame_times_s.back() - job_.frame_times_s.front();
        say(head + text_.Lines(*answer->result, filmed_s / all_s));
        sure_.Hear(ViewOf(*answer->result));
        if (sure_.enough()) say(EnoughText(*answer->result, words));
      }
    }
    const double now_s = NowSeconds();
    if (answers_.busy() || filmed_s < kFirstAnswerS ||
        now_s - looked_s_ < options_.answer_every_s) {
      return sure_.enough();
    }
    looked_s_ = now_s;
    answers_.Start(writer_.case_file());
    return sure_.enough();
  }

  ReplayOptions options_;
  Case job_;
  std::unique_ptr<CountPages> pages_;
  FilmWriter writer_;
  RunningAnswer answers_;
  AnswerText text_;
  Sureness sure_;
  std::size_t row_ = 0;
  std::size_t level_ = 0;
  double looked_s_ = 0;
};

}  // namespace

bool Replay(const ReplayOptions& options,
            const std::filesystem::path& case_file,
            const std::filesystem::path& out,
            const std::function<void(const std::string&)>& say) {
  return Film(options, case_file, out).Play(say);
}

}  // namespace ohmglow::record
