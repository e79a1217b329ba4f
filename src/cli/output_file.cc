// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/output_file.h"

#include <unistd.h>

#include <boost/crc.hpp>
#include <cerrno>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <iterator>

#include "ohmglow/base/error.h"
#include "ohmglow/version.h"

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kPngHeaderBytes = 33;  // Signature and IHDR.
constexpr std::size_t kSearchedBytes = std::size_t{16} << 20U;
const std::string kPngMark = std::string("tEXtSoftware\0ohmglow", 20);
const std::string kPdfMark = "/Creator (ohmglow ";

std::string BigEndian(std::uint32_t value) {
  std::string bytes;
  for (const unsigned shift : {24U, 16U, 8U, 0U}) {
    bytes.push_back(static_cast<char>((value >> shift) & 0xFFU));
  }
  return bytes;
}

bool IsOurs(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  std::string bytes(kSearchedBytes, '\0');
  stream.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  bytes.resize(static_cast<std::size_t>(stream.gcount()));
  if (bytes.starts_with("%PDF-")) return bytes.find(kPdfMark) != std::string::npos;
  // Behind the header, the length of the chunk.
  return bytes.starts_with("\x89PNG") && bytes.find(kPngMark) == kPngHeaderBytes + 4;
}

void Check(const fs::path& file) {
  std::error_code code;
  const fs::path folder = fs::absolute(file, code).parent_path();
  if (!fs::is_directory(folder, code)) {
    RefuseOutput(file,
                 "the folder it belongs in (" + folder.string() + ") is missing; make it first");
  }
  if (access(folder.c_str(), W_OK | X_OK) != 0) {
    RefuseOutput(file, folder.string() + " cannot be written to (" + std::strerror(errno) + ")");
  }
  const auto status = fs::symlink_status(file, code);
  if (!fs::exists(status)) return;
  if (fs::is_directory(fs::status(file, code))) RefuseOutput(file, "is a folder; give a file name");
  if (!fs::is_regular_file(status) || (fs::file_size(file, code) > 0 && !IsOurs(file))) {
    RefuseOutput(file, "exists and was not made by ohmglow; remove it first or give another name");
  }
}

}  // namespace

void RefuseOutput(const fs::path& path, const std::string& why) {
  throw OutputError(path.string() + ": " + why);
}

std::string MarkedPng(const std::string& png) {
  if (png.size() < kPngHeaderBytes) return png;
  const std::string body = kPngMark + " " OHMGLOW_VERSION;
  boost::crc_32_type crc;
  crc.process_bytes(body.data(), body.size());
  const std::string chunk =
      BigEndian(static_cast<std::uint32_t>(body.size() - 4)) + body + BigEndian(crc.checksum());
  return png.substr(0, kPngHeaderBytes) + chunk + png.substr(kPngHeaderBytes);
}

void CheckOutputFile(const fs::path& file) { Check(file); }

void WriteOutputFile(const fs::path& file, const std::string& bytes) {
  Check(file);
  const fs::path fresh = file.string() + ".partial-" + std::to_string(getpid());
  std::error_code ignored;
  std::ofstream stream(fresh, std::ios::binary);
  stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  stream.close();
  if (!stream) {
    const std::string why = std::strerror(errno);
    fs::remove(fresh, ignored);
    RefuseOutput(file, "cannot be written (" + why + "); check free space and rights");
  }
  std::error_code code;
  fs::rename(fresh, file, code);
  if (!code) return;
  fs::remove(fresh, ignored);
  RefuseOutput(file, "cannot be put in its place (" + code.message() + "); check rights");
}

}  // namespace ohmglow::cli
