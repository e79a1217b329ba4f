// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "survey/decide.h"

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <regex>

#include "input/series_pages.h"
#include "input/text.h"

namespace ohmglow {
namespace {

using Kind = FoundFile::Kind;
using Candidates = std::vector<const FoundFile*>;

constexpr int kLeastFrames = 12;  // Fewer are no capture.
constexpr int kMostNamed = 4;
constexpr std::uintmax_t kLeastRawBytes = 100'000;

std::string ParentOf(const std::string& name) {
  const std::size_t slash = name.rfind('/');
  return slash == std::string::npos ? std::string() : name.substr(0, slash);
}

std::string Size(cv::Size px) {
  return std::to_string(px.width) + " x " + std::to_string(px.height) + " px";
}

// "a.tiff and b.tiff", "a, b, c, d and 3 more".
std::string Listed(const std::vector<std::string>& names) {
  std::string text;
  const std::size_t shown = std::min<std::size_t>(names.size(), kMostNamed);
  for (std::size_t i = 0; i < shown; ++i) {
    const bool last = i + 1 == names.size() && i > 0;
    text += (i == 0 ? "" : last ? " and " : ", ") + names[i];
  }
  if (names.size() > shown) text += " and " + std::to_string(names.size() - shown) + " more";
  return text;
}

bool IsNamedAsPicture(const std::string& name) {
  const std::string lower = ToLower(name);
  return lower.ends_with(".png") || lower.ends_with(".jpg") || lower.ends_with(".jpeg");
}

bool IsFilmOfValues(const FoundFile& file) {
  const bool pages = file.kind == Kind::kGrey && file.pages >= kLeastFrames;
  return pages || (file.kind == Kind::kTable && file.table.kind == TableKind::kFrames);
}

bool IsFilm(const FoundFile& file) { return file.kind == Kind::kFilm; }

bool IsColourSeries(const FoundFile& file) {
  return file.kind == Kind::kColour && file.pages >= kLeastFrames;
}

bool IsShort(const FoundFile& file) { return file.kind == Kind::kGrey && file.pages > 1; }

// In 64 bits: a header may say what it likes.
std::int64_t Area(cv::Size px) { return std::int64_t{px.width} * px.height; }

Clause WhyFrames(const FoundFile& file) {
  const std::size_t files = file.group.files.size();
  const auto counted = [](std::size_t count) {
    return Remark().With("count", static_cast<double>(count));
  };
  if (file.kind == Kind::kFilm) return {"survey.film"};
  if (file.kind == Kind::kTable) return {"survey.tables", counted(files)};
  Remark values = counted(files > 1 ? files : static_cast<std::size_t>(file.pages));
  if (Area(file.size_px) <= 0) return {files > 1 ? "survey.files" : "survey.pages", values};
  values = std::move(values).With("size", Size(file.size_px));
  return {files > 1 ? "survey.files_of" : "survey.pages_of", std::move(values)};
}

class Decider {
 public:
  Decider(const std::vector<FoundFile>& found, const std::set<std::string>& taken)
      : found_(found), taken_(taken) {
    for (const FoundFile& file : found) {
      for (const ListedFile& member : file.group.files) names_.push_back(member.name);
    }
  }

  Decision Decide() {
    DecideFrames();
    DecideSupply();
    DecidePhoto();
    DecideTable(TableKind::kTimes, "frames.times", "name one as times under [frames]");
    DecideTable(TableKind::kPoints, "board.points", "name one as points under [board]");
    DecideTable(TableKind::kParts, "board.parts", "give --parts FILE");
    DecideTable(TableKind::kContacts, "board.contacts", "name one as contacts under [board]");
    DecideTable(TableKind::kSurface, "surface.regions", "name one as regions under [surface]");
    std::stable_partition(out_.questions.begin(), out_.questions.end(), [](const auto& question) {
      return question.needed;
    });
    SetTheRestAside();
    return std::move(out_);
  }

 private:
  [[nodiscard]] bool free(const std::string& key) const { return !taken_.contains(key); }

  [[nodiscard]] Candidates Those(const std::function<bool(const FoundFile&)>& wanted) const {
    Candidates out;
    for (const FoundFile& file : found_) {
      if (wanted(file)) out.push_back(&file);
    }
    return out;
  }

  [[nodiscard]] std::string NameOf(const FoundFile& file) const {
    return file.group.files.size() > 1 ? NameOfSeries(file.group, names_) : file.group.name;
  }

  void Take(const std::string& key, const FoundFile& file, Clause why) {
    out_.settings.push_back({key, NameOf(file), std::move(why)});
    used_.insert(&file);
  }

  void Ask(const std::string& key,
           const Candidates& candidates,
           const std::string& what,
           const std::string& option,
           bool needed) {
    SurveyQuestion question{key, {}, {}, needed};
    for (const FoundFile* file : candidates) {
      question.candidates.push_back(NameOf(*file));
      used_.insert(file);
    }
    question.text = "which of " + Listed(question.candidates) + " is " + what + "? " + option;
    out_.questions.push_back(std::move(question));
  }

  void DecideFrames() {
    if (!free("frames.source")) return;
    // What holds values goes before what only shows them.
    for (const auto& wanted : {&IsFilmOfValues, &IsFilm, &IsColourSeries, &IsShort}) {
      const Candidates candidates = Those(wanted);
      if (candidates.empty()) continue;
      if (candidates.size() == 1) {
        frame_px_ = candidates.front()->size_px;
        return Take("frames.source", *candidates.front(), WhyFrames(*candidates.front()));
      }
      return Ask("frames.source", candidates, "the capture", "Give --frames NAME.", true);
    }
    DecideRaw();
  }

  // Frames without a header: their size may stand in the name.
  void DecideRaw() {
    const Candidates candidates = Those([](const FoundFile& file) {
      return file.kind == Kind::kUnknown && file.group.files.front().bytes >= kLeastRawBytes;
    });
    if (candidates.size() > 1) {
      return Ask("frames.source", candidates, "the capture", "Give --frames NAME.", true);
    }
    if (candidates.empty()) {
      const Candidates damaged =
          Those([](const FoundFile& file) { return file.kind == Kind::kUnreadable; });
      const std::string unread =
          damaged.empty() ? "" : " (" + NameOf(*damaged.front()) + " cannot be read as such)";
      out_.questions.push_back({"frames.source",
                                {},
                                "where are the frames? No film, no series of pictures and no file "
                                "of many pages lies here" +
                                    unread + ". Give --frames NAME.",
                                true});
      return;
    }
    const FoundFile& raw = *candidates.front();
    static const std::regex kSizeInName("([1-9][0-9]{1,3})[xX]([1-9][0-9]{1,3})");
    std::smatch size;
    const std::string name = NameOf(raw);
    if (free("frames.width_px") && std::regex_search(name, size, kSizeInName)) {
      Take("frames.source", raw, {"survey.raw"});
      out_.settings.push_back({"frames.width_px", size[1], {"survey.by_name"}});
      out_.settings.push_back({"frames.height_px", size[2], {"survey.by_name"}});
    } else if (!free("frames.width_px")) {
      Take("frames.source", raw, {"survey.raw"});
    } else {
      out_.questions.push_back({"frames.source",
                                {name},
                                "how large is one frame of " + name +
                                    "? It is of no known kind; if it holds raw frames, give "
                                    "width_px and height_px under [frames] of a case.ini.",
                                true});
      used_.insert(&raw);
    }
  }

  void DecideSupply() {
    if (!free("supply.log") || !free("supply.levels") || !free("supply.steps")) return;
    const auto of_kind = [](TableKind kind) {
      return [kind](const FoundFile& file) {
        return file.kind == Kind::kTable && file.table.kind == kind;
      };
    };
    const Candidates logs = Those(of_kind(TableKind::kLog));
    const Candidates steps = Those(of_kind(TableKind::kSteps));
    if (logs.size() > 1) {
      return Ask("supply.log", logs, "the supply's log", "Give --log NAME.", true);
    }
    if (logs.size() == 1) return Take("supply.log", *logs.front(), logs.front()->table.why);
    if (steps.size() > 1) {
      return Ask("supply.steps", steps, "the list of the currents", "Give --log NAME.", true);
    }
    if (steps.size() == 1) return Take("supply.steps", *steps.front(), steps.front()->table.why);
  }

  // A file that its name calls a picture and that is none: passed over, but not in silence.
  void TellOfBrokenPhoto() {
    const Candidates broken = Those([&](const FoundFile& file) {
      const bool no_picture = file.kind == Kind::kUnreadable || file.kind == Kind::kTable;
      return no_picture && file.group.files.size() == 1 && IsNamedAsPicture(NameOf(file)) &&
             !used_.contains(&file);
    });
    if (broken.empty()) return;
    out_.questions.push_back(
        {"board.photo",
         {},
         NameOf(*broken.front()) + " is no picture that can be read; save it as PNG or JPEG",
         false});
  }

  void DecidePhoto() {
    if (!free("board.photo")) return;
    const auto is_larger = [&](const FoundFile& file) {
      return file.pages == 1 && Area(file.size_px) > Area(frame_px_);
    };
    Candidates candidates = Those([&](const FoundFile& file) {
      return file.kind == Kind::kColour && is_larger(file) && !used_.contains(&file);
    });
    if (candidates.empty()) {
      candidates = Those([&](const FoundFile& file) {
        return file.kind == Kind::kGrey && is_larger(file) && !used_.contains(&file);
      });
    }
    if (candidates.empty()) return TellOfBrokenPhoto();
    if (candidates.size() > 1) {
      return Ask("board.photo",
                 candidates,
                 "the photo of the side that was filmed",
                 "Give --photo FILE.",
                 false);
    }
    Take("board.photo",
         *candidates.front(),
         {candidates.front()->kind == Kind::kColour ? "survey.only_colour" : "survey.only_single",
          Remark().With("size", Size(candidates.front()->size_px))});
  }

  void DecideTable(TableKind kind, const std::string& key, const std::string& option) {
    if (!free(key)) return;
    const Candidates candidates = Those([&](const FoundFile& file) {
      return file.kind == Kind::kTable && file.table.kind == kind && !used_.contains(&file);
    });
    if (candidates.size() == 1) {
      Take(key, *candidates.front(), candidates.front()->table.why);
    } else if (candidates.size() > 1) {
      const std::string what = kind == TableKind::kParts    ? "the parts list of this board"
                               : kind == TableKind::kTimes  ? "the table of the frames' times"
                               : kind == TableKind::kPoints ? "the table of landmarks"
                               : kind == TableKind::kSurface
                                   ? "the table of places of another emissivity"
                                   : "the table of lead contacts";
      const bool needed = kind == TableKind::kTimes;
      std::string text = option;
      text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
      Ask(key, candidates, what, text + ".", needed);
    }
  }

  void SetTheRestAside() {
    for (const FoundFile& file : found_) {
      if (used_.contains(&file)) continue;
      const bool log = file.kind == Kind::kTable &&
                       (file.table.kind == TableKind::kLog || file.table.kind == TableKind::kSteps);
      out_.set_aside.push_back({log ? "supply.log" : "", NameOf(file), WhyNot(file)});
    }
  }

  [[nodiscard]] static Clause WhyNot(const FoundFile& file) {
    switch (file.kind) {
      case Kind::kUnreadable:
        if (file.problem.empty()) return {"survey.unreadable"};
        return {"survey.unreadable_as", Remark().With("problem", file.problem)};
      case Kind::kGrey:
      case Kind::kColour:
      case Kind::kFilm:
        return {"survey.unasked"};
      case Kind::kTable:
        return {file.table.kind == TableKind::kNone ? "survey.no_table" : "survey.said_twice"};
      case Kind::kCaseFile:
        return {"survey.case_file"};
      case Kind::kUnknown:
        break;
    }
    return {"survey.no_kind"};
  }

  const std::vector<FoundFile>& found_;
  const std::set<std::string>& taken_;
  std::vector<std::string> names_;
  std::set<const FoundFile*> used_;
  cv::Size frame_px_;
  Decision out_;
};

}  // namespace

std::string NameOfSeries(const FileGroup& group, const std::vector<std::string>& all) {
  const std::string parent = ParentOf(group.files.front().name);
  std::vector<std::string> neighbours;
  for (const std::string& name : all) {
    if (ParentOf(name) == parent) neighbours.push_back(name);
  }
  if (!parent.empty() && neighbours.size() == group.files.size()) return parent;
  const auto fits_alone = [&](const std::string& pattern) {
    const auto hits = std::count_if(neighbours.begin(), neighbours.end(), [&](const auto& name) {
      return MatchesPattern(name, pattern);
    });
    return static_cast<std::size_t>(hits) == group.files.size();
  };
  const auto filled = [&](char with, bool each) {
    std::string pattern;
    const std::string& like = group.files.front().name;
    std::size_t at = 0;  // In `like`, whose digits the pattern's # stand for.
    for (const char c : group.name) {
      if (c != '#') {
        pattern += c;
        ++at;
        continue;
      }
      const std::size_t begin = at;
      while (at < like.size() && like[at] >= '0' && like[at] <= '9') ++at;
      pattern.append(each ? at - begin : 1, with);
    }
    return pattern;
  };
  const std::string stars = filled('*', false);
  if (fits_alone(stars)) return stars;
  const std::string marks = filled('?', true);
  return fits_alone(marks) ? marks : stars;
}

Decision Decide(const std::vector<FoundFile>& found, const std::set<std::string>& taken) {
  return Decider(found, taken).Decide();
}

}  // namespace ohmglow
