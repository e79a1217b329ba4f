// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/case_record.h"

#include <algorithm>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "batch/inputs.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/report.h"
#include "ohmglow/version.h"
#include "words/shown_text.h"

namespace ohmglow::batch {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr std::size_t kTitleChars = 200;
constexpr std::size_t kErrorChars = 500;

std::string ReadFile(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

void ReadError(const fs::path& folder, CaseRecord& record) {
  const Json json = Json::parse(ReadFile(folder / "error.json"));
  if (json.contains("case")) record.title = json.at("case").value("title", "");
  record.error_code = json.at("error").at("code").get<int>();
  record.error = json.at("error").at("text").get<std::string>();
  record.status = CaseStatus::kFailed;
}

}  // namespace

std::string ToErrorJson(const std::string& title, int error_code, const std::string& error) {
  Json json{{"schema", 1}, {"program", {{"name", "ohmglow"}, {"version", OHMGLOW_VERSION}}}};
  if (!title.empty()) json["case"] = {{"title", internal::CleanText(title, kTitleChars)}};
  json["error"] = {{"code", error_code}, {"text", internal::CleanText(error, kErrorChars)}};
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

CaseRecord ReadRecord(const fs::path& out, const std::string& name) {
  CaseRecord record;
  record.name = name;
  const fs::path folder = out / name;
  const std::vector<std::string> files = FilesOf(folder);
  const auto has = [&](const char* file) {
    return std::find(files.begin(), files.end(), file) != files.end();
  };
  try {
    if (has("error.json")) {
      ReadError(folder, record);
    } else if (has("result.json")) {
      record.result = FromJson(ReadFile(folder / "result.json"), name + "/result.json");
      record.title = record.result.title;
      record.status = CaseStatus::kDone;
    } else {
      record.error = "no complete result; run the batch again";
    }
  } catch (const std::exception& error) {
    record.error = internal::CleanText(error.what(), kErrorChars);
  }
  return record;
}

}  // namespace ohmglow::batch
