// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What is drawn: the currents on the time line, parts and surfaces on the pictures.

#include "desk/case_text.h"
#include "desk/desk.h"
#include "desk/drawn_parts.h"
#include "desk/drawn_regions.h"
#include "desk/inside.h"
#include "desk/levels.h"
#include "desk/own_file.h"
#include "desk/replies.h"
#include "desk/table_edits.h"
#include "desk/tables.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

constexpr const char* kParts = "board.parts";
constexpr const char* kPartsFile = "parts.csv";
constexpr const char* kPoints = "board.points";
constexpr const char* kPointsFile = "points.csv";

std::string TextOf(const Capture& capture, const char* key, const char* fallback) {
  const OwnTable table = TableOf(capture, key, fallback);
  if (!IsInside(capture.place.root, table.file)) {
    throw OutputError(table.file.string() + ": a link leads elsewhere");
  }
  return BytesOf(table.file).value_or("");
}

}  // namespace

Reply Desk::SaveLevels(const Ask& ask) {
  const Json wanted = Json::parse(ask.body);
  const Json& rows = wanted.at("rows");
  const auto version = wanted.at("version").get<std::string>();
  {
    const std::lock_guard saving(saving_);
    const Look look = LookAt();
    if (look.capture->job.supply) {
      throw OptionError("the supply's log tells the current; take it out of the case first");
    }
    const OwnTable steps = TableOf(*look.capture, "supply.steps", "");
    const auto file =
        steps.named ? steps.file : CaseFileOf(look.capture->place, look.capture->survey);
    const auto bytes = BytesOf(file);
    const std::string before = bytes ? *bytes : ToCaseFile(look.capture->survey);
    Change({{file,
             version,
             before,
             steps.named ? WithSteps(before, rows)
                         : WithKey(before, "supply.levels", LevelsText(rows))}});
  }
  return SendTables(ask);
}

Reply Desk::SavePart(const Ask& ask) {
  const Json wanted = Json::parse(ask.body);
  {
    const std::lock_guard saving(saving_);
    const Look look = LookAt();
    const Capture& capture = *look.capture;
    const Ground ground = GroundOf(capture);
    if (!ground.board_from_frame) throw OptionError("nothing tells yet how the board lies");
    std::vector<TableChange> changes;
    const auto with = [&](const std::string& text, const Json& change) {
      return WithPart(text, change, *ground.board_from_frame, capture.job.side);
    };
    changes.push_back({kParts,
                       kPartsFile,
                       wanted.at("version").get<std::string>(),
                       EmptyParts(),
                       with(TextOf(capture, kParts, kPartsFile), wanted)});
    if (ground.state == Ground::State::kFrame) {
      changes.push_back({kPoints,
                         kPointsFile,
                         capture.points_version,
                         WithLandmarks("", Json::array()),
                         WithFrameAxes(TextOf(capture, kPoints, kPointsFile), capture)});
    }
    Change(EditsOf(capture, changes));
  }
  return SendTables(ask);
}

Reply Desk::SaveRegion(const Ask& ask) {
  const Json wanted = Json::parse(ask.body);
  {
    const std::lock_guard saving(saving_);
    const Look look = LookAt();
    const std::string text = TextOf(*look.capture, kRegionsKey, kRegionsFile);
    Change(EditsOf(*look.capture,
                   {{kRegionsKey,
                     kRegionsFile,
                     wanted.at("version").get<std::string>(),
                     EmptyRegions(),
                     WithRegion(text, wanted)}}));
  }
  return SendTables(ask);
}

}  // namespace ohmglow::desk
