// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/inputs.h"

#include <xxhash.h>

#include <array>
#include <fstream>
#include <iomanip>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>

#include "ohmglow/base/error.h"
#include "ohmglow/input/case_files.h"
#include "ohmglow/version.h"
#include "words/shown_text.h"

namespace ohmglow::batch {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr std::size_t kBlockBytes = std::size_t{1} << 20U;
constexpr std::size_t kInputNameChars = 200;

// Hash of a run of files, their names included.
class Hasher {
 public:
  Hasher() : state_(XXH3_createState()), block_(kBlockBytes) { XXH3_128bits_reset(state_.get()); }

  // @return  its bytes; nothing where it cannot be read.
  bool Add(const fs::path& file) {
    // Not a pipe or a device, which would be waited for without end.
    std::error_code ignored;
    if (!fs::is_regular_file(file, ignored)) return false;
    std::ifstream stream(file, std::ios::binary);
    std::uint64_t bytes = 0;
    while (stream) {
      stream.read(block_.data(), static_cast<std::streamsize>(block_.size()));
      const auto count = static_cast<std::size_t>(stream.gcount());
      XXH3_128bits_update(state_.get(), block_.data(), count);
      bytes += count;
    }
    total_bytes_ += bytes;
    // The size keeps apart where one file ends and the next one begins.
    Add(file.filename().string() + '/' + std::to_string(bytes) + (stream.eof() ? "" : "?"));
    return stream.eof();
  }

  [[nodiscard]] std::uint64_t total_bytes() const { return total_bytes_; }

  [[nodiscard]] std::string Hex() const {
    XXH128_canonical_t bytes;
    XXH128_canonicalFromHash(&bytes, XXH3_128bits_digest(state_.get()));
    std::ostringstream text;
    text << std::hex << std::setfill('0');
    for (const unsigned char byte : bytes.digest) text << std::setw(2) << int{byte};
    return text.str();
  }

 private:
  struct Free {
    void operator()(XXH3_state_t* state) const { XXH3_freeState(state); }
  };

  void Add(const std::string& text) { XXH3_128bits_update(state_.get(), text.data(), text.size()); }

  std::unique_ptr<XXH3_state_t, Free> state_;
  std::vector<char> block_;
  std::uint64_t total_bytes_ = 0;
};

std::string Clean(const std::string& text) { return internal::CleanText(text, kInputNameChars); }

Json Describe(const NamedFiles& named) {
  Json row{{"key", named.key}, {"name", Clean(named.name)}};
  Hasher hasher;
  std::string problem = named.problem;
  for (const fs::path& file : named.files) {
    if (!hasher.Add(file) && problem.empty()) problem = "cannot be read";
  }
  if (named.files.size() > 1) row["files"] = named.files.size();
  row["bytes"] = hasher.total_bytes();
  row["xxh3_128"] = hasher.Hex();
  if (!problem.empty()) row["problem"] = Clean(problem);
  return row;
}

Json ReadJson(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return Json::parse(stream, nullptr, false);
}

bool IsThere(const fs::path& folder, const Json& written) {
  if (!written.is_object() || written.empty()) return false;
  for (const auto& [name, bytes] : written.items()) {
    std::error_code code;
    const auto size = fs::file_size(folder / name, code);
    if (code || !bytes.is_number_unsigned() || size != bytes.get<std::uint64_t>()) return false;
  }
  return true;
}

}  // namespace

Json DescribeInputs(const fs::path& case_file, const OptionValues& options) {
  std::vector<NamedFiles> files;
  try {
    files = ListCaseFiles(case_file);
  } catch (const InputError& error) {
    files = {{"case", case_file.filename().string(), {case_file}, error.what()}};
  }
  Json json = NoInputs();
  json["options"] = Json::object();
  for (const auto& [name, value] : options) json["options"][name] = value;
  json["inputs"] = Json::array();
  for (const NamedFiles& named : files) json["inputs"].push_back(Describe(named));
  return json;
}

Json NoInputs() {
  return {{"schema", 1}, {"program", {{"name", "ohmglow"}, {"version", OHMGLOW_VERSION}}}};
}

std::string ToInputsJson(const Json& inputs, const FileSizes& written) {
  Json json = inputs;
  json["written"] = Json::object();
  for (const auto& [name, bytes] : written) json["written"][name] = bytes;
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

bool IsUpToDate(const fs::path& folder, const Json& inputs) {
  Json stored = ReadJson(folder / "inputs.json");
  if (!stored.is_object() || !stored.contains("written")) return false;
  const Json written = stored["written"];
  stored.erase("written");
  return stored == inputs && IsThere(folder, written);
}

std::vector<std::string> FilesOf(const fs::path& folder) {
  const Json stored = ReadJson(folder / "inputs.json");
  if (!stored.is_object() || !stored.contains("written")) return {};
  if (!IsThere(folder, stored["written"])) return {};
  std::vector<std::string> names;
  for (const auto& [name, bytes] : stored["written"].items()) names.push_back(name);
  names.emplace_back("inputs.json");
  return names;
}

}  // namespace ohmglow::batch
