// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "archive_files.h"

#include <archive.h>
#include <archive_entry.h>
#include <locale.h>

#include <algorithm>
#include <array>
#include <optional>
#include <utility>
#include <vector>

#include "ohmglow/base/error.h"
#include "spool.h"
#include "text.h"
#include "zip_listing.h"

namespace ohmglow {
namespace {

// A member may hold so much more than the archive; frames are not packed further.
constexpr std::uint64_t kMostPacking = 100;
constexpr std::uint64_t kAlwaysAllowed = std::uint64_t{256} << 20U;
constexpr std::size_t kMostMembers = 10'000'000;

struct Member {
  std::string name;
  std::uint64_t offset = 0;
  std::uint64_t size = 0;
  double date_s = 0;
  bool damaged = false;
};

class ArchiveFiles final : public FrameFiles {
 public:
  ArchiveFiles(std::string archive,
               ByteSource spool,
               std::vector<Member> members,
               int left_out,
               bool cut_off)
      : archive_(std::move(archive)),
        spool_(std::move(spool)),
        members_(std::move(members)),
        left_out_(left_out),
        cut_off_(cut_off) {}

  [[nodiscard]] int count() const override { return static_cast<int>(members_.size()); }
  [[nodiscard]] std::string Name(int index) const override { return At(index).name; }
  [[nodiscard]] std::string Path(int index) const override {
    return OneLine(archive_ + ", " + At(index).name);
  }
  [[nodiscard]] ByteSource Open(int index) const override {
    if (At(index).damaged) {
      throw InputError(Path(index) + ": its check sum is wrong, it is damaged; pack it again");
    }
    return spool_.Part(At(index).offset, At(index).size, Path(index));
  }
  [[nodiscard]] double Date(int index) const override { return At(index).date_s; }
  [[nodiscard]] std::vector<std::string> Notes() const override {
    std::vector<std::string> notes;
    if (left_out_ > 0) {
      notes.push_back(archive_ + ": " + std::to_string(left_out_) +
                      " links or paths that lead out of it are left out");
    }
    if (cut_off_) {
      notes.push_back(archive_ + ": the archive is cut off after " + std::to_string(count()) +
                      " files of frames; it is used as far as it goes");
    }
    return notes;
  }
  [[nodiscard]] bool cut_off() const override { return cut_off_; }

 private:
  [[nodiscard]] const Member& At(int index) const {
    return members_[static_cast<std::size_t>(index)];
  }

  std::string archive_;
  ByteSource spool_;
  std::vector<Member> members_;
  int left_out_ = 0;
  bool cut_off_ = false;
};

// libarchive's view of our bytes.
struct Input {
  const ByteSource* file = nullptr;
  std::uint64_t at = 0;
  std::array<char, 1U << 16U> block{};
};

la_ssize_t ReadBlock(archive* /*handle*/, void* data, const void** block) {
  auto& input = *static_cast<Input*>(data);
  const std::uint64_t left = input.file->size() - std::min(input.at, input.file->size());
  const auto length = static_cast<std::size_t>(std::min<std::uint64_t>(left, input.block.size()));
  try {
    input.file->Read(input.at, length, input.block.data(), input.file->name());
  } catch (const InputError&) {
    return -1;
  }
  input.at += length;
  *block = input.block.data();
  return static_cast<la_ssize_t>(length);
}

la_int64_t SeekTo(archive* /*handle*/, void* data, la_int64_t offset, int from) {
  auto& input = *static_cast<Input*>(data);
  const auto size = static_cast<la_int64_t>(input.file->size());
  if (from == SEEK_CUR) offset += static_cast<la_int64_t>(input.at);
  if (from == SEEK_END) offset += size;
  if (offset < 0 || offset > size) return -1;
  input.at = static_cast<std::uint64_t>(offset);
  return offset;
}

la_int64_t SkipBytes(archive* /*handle*/, void* data, la_int64_t length) {
  auto& input = *static_cast<Input*>(data);
  const std::uint64_t left = input.file->size() - std::min(input.at, input.file->size());
  const auto skipped = std::min(static_cast<std::uint64_t>(std::max<la_int64_t>(length, 0)), left);
  input.at += skipped;
  return static_cast<la_int64_t>(skipped);
}

// Leads nowhere but into the archive.
bool StaysInside(const std::string& path) {
  if (path.empty() || path.front() == '/') return false;
  const std::filesystem::path parts(path);
  return std::none_of(parts.begin(), parts.end(), [](const auto& part) { return part == ".."; });
}

// libarchive gives names in the locale's encoding alone, and loses those that have none there;
// who calls us need not have set one. Of this thread, as long as it lives.
class Utf8Names {
 public:
  Utf8Names() : utf8_(newlocale(LC_CTYPE_MASK, "C.UTF-8", nullptr)) {
    if (utf8_ != nullptr) before_ = uselocale(utf8_);
  }
  Utf8Names(const Utf8Names&) = delete;
  Utf8Names& operator=(const Utf8Names&) = delete;
  ~Utf8Names() {
    if (utf8_ == nullptr) return;
    uselocale(before_);
    freelocale(utf8_);
  }

 private:
  locale_t utf8_;
  locale_t before_ = nullptr;
};

// What is wanted of an archive.
struct Wanted {
  std::string pattern = {};  // Of names; empty: of frames.
  std::string only = {};     // This one member.
  bool names_alone = false;
};

// One pass through an archive.
class Unpacking {
 public:
  /// @param listing  of a zip, which is then read from front to end without libarchive's list.
  Unpacking(const ByteSource& file, Wanted wanted, std::optional<ZipListing> listing)
      : file_(file),
        wanted_(std::move(wanted)),
        listing_(std::move(listing)),
        most_(kAlwaysAllowed + kMostPacking * file.size()),
        input_(std::make_unique<Input>()),
        handle_(archive_read_new(), archive_read_free) {
    input_->file = &file_;
    archive* const a = handle_.get();
    // Each by itself: "all" would also start other programs for some.
    archive_read_support_filter_gzip(a);
    archive_read_support_filter_bzip2(a);
    archive_read_support_filter_xz(a);
    archive_read_support_filter_zstd(a);
    archive_read_support_filter_lz4(a);
    archive_read_support_filter_compress(a);
    if (listing_) {
      archive_read_support_format_zip_streamable(a);
    } else {
      archive_read_support_format_zip(a);
    }
    archive_read_support_format_tar(a);
    archive_read_support_format_raw(a);
    archive_read_set_read_callback(a, ReadBlock);
    archive_read_set_seek_callback(a, SeekTo);
    archive_read_set_skip_callback(a, SkipBytes);
    archive_read_set_callback_data(a, input_.get());
  }

  /// False where a zip read by a listing is not what that says: then only libarchive can tell.
  bool Run() {
    const Utf8Names names;
    if (!wanted_.names_alone) spool_.emplace(file_.name());
    if (!Walk()) return false;
    KeepWanted();
    return true;
  }

  std::unique_ptr<FrameFiles> Files() {
    return std::make_unique<ArchiveFiles>(
        file_.name(), spool_->Finish(file_.name()), std::move(members_), left_out_, cut_off_);
  }

  [[nodiscard]] ArchiveLook Look() const {
    return {static_cast<int>(members_.size()), members_.front().name};
  }

 private:
  bool Walk() {
    if (archive_read_open1(handle_.get()) != ARCHIVE_OK) {
      if (listing_) return false;
      Damaged();
    }
    archive_entry* entry = nullptr;
    for (;;) {
      const int status = archive_read_next_header(handle_.get(), &entry);
      if (status == ARCHIVE_EOF) break;
      if (status == ARCHIVE_RETRY) continue;
      if (status < ARCHIVE_WARN) {
        if (listing_) return false;
        // Cut off, but what was whole is there.
        if (members_.empty()) Damaged();
        cut_off_ = true;
        break;
      }
      if (!listing_ || IsListedFile()) Take(entry);
      if (!wanted_.only.empty() && !members_.empty()) return true;
    }
    return !listing_ || listed_ == listing_->size();
  }

  bool IsListedFile() {
    const auto at = static_cast<std::uint64_t>(archive_read_header_position(handle_.get()));
    const ZipListing::Kind kind = listing_->KindAt(at);
    if (kind == ZipListing::Kind::kUnlisted) return false;
    ++listed_;
    if (kind == ZipListing::Kind::kLink) ++left_out_;
    return kind == ZipListing::Kind::kFile;
  }

  [[noreturn]] void Damaged() const {
    const char* const detail = archive_error_string(handle_.get());
    throw InputError(file_.name() + ": the archive is damaged or cut short; copy it again (" +
                     Quoted(detail == nullptr ? "no detail" : detail) + ")");
  }

  [[nodiscard]] std::string NameOf(archive_entry* entry) const {
    // A compressed file alone: its name without the ending.
    if (archive_format(handle_.get()) == ARCHIVE_FORMAT_RAW) {
      // It began like one that is compressed, and is not.
      if (archive_filter_code(handle_.get(), 0) == ARCHIVE_FILTER_NONE) Damaged();
      return std::filesystem::path(file_.name()).stem().string();
    }
    for (const char* name : {archive_entry_pathname_utf8(entry), archive_entry_pathname(entry)}) {
      if (name != nullptr) return name;
    }
    return "";
  }

  void Take(archive_entry* entry) {
    const std::string name = NameOf(entry);
    if (archive_entry_filetype(entry) == AE_IFDIR || name.ends_with('/')) return;
    if (archive_entry_filetype(entry) != AE_IFREG || archive_entry_hardlink(entry) != nullptr ||
        !StaysInside(name)) {
      ++left_out_;
      return;
    }
    const std::string base = std::filesystem::path(name).filename().string();
    if (base.starts_with('.') || name.starts_with("__MACOSX/") || !IsWanted(name, base)) return;
    if (archive_entry_is_encrypted(entry) > 0) {
      throw InputError(file_.name() + ", " + Quoted(name) +
                       ": is locked by a password; unpack it and name the folder");
    }
    if (members_.size() >= kMostMembers) Damaged();
    Member member{name, 0, 0, static_cast<double>(archive_entry_mtime(entry))};
    if (spool_) UnpackInto(*spool_, member);
    members_.push_back(std::move(member));
  }

  [[nodiscard]] bool IsWanted(const std::string& name, const std::string& base) const {
    if (!wanted_.only.empty()) return name == wanted_.only;
    return wanted_.pattern.empty() || MatchesPattern(name, wanted_.pattern) ||
           MatchesPattern(base, wanted_.pattern);
  }

  void UnpackInto(Spool& spool, Member& member) {
    member.offset = spool.size();
    std::array<char, 1U << 16U> block{};
    for (;;) {
      const la_ssize_t got = archive_read_data(handle_.get(), block.data(), block.size());
      if (got == ARCHIVE_RETRY) continue;
      if (got <= 0) {
        // Cut off: what is there counts; its reader tells what is missing.
        member.damaged = got == ARCHIVE_FAILED || got == ARCHIVE_WARN;
        return;
      }
      member.size += static_cast<std::uint64_t>(got);
      if (member.offset + member.size > most_) {
        throw InputError(file_.name() + ": unpacks to more than " + std::to_string(most_ >> 20U) +
                         " MB, which no frames do; look what is in it");
      }
      spool.Write(spool.size(), block.data(), static_cast<std::size_t>(got));
    }
  }

  void KeepWanted() {
    const std::string& pattern = wanted_.pattern;
    if (members_.size() > 1 && pattern.empty()) {
      std::vector<std::string> names;
      for (const Member& member : members_) names.push_back(member.name);
      std::sort(names.begin(), names.end(), NaturalLess);
      KeepFrames(names, file_.name(), "frames.member");
      std::sort(names.begin(), names.end());
      std::erase_if(members_, [&](const Member& member) {
        return !std::binary_search(names.begin(), names.end(), member.name);
      });
    }
    if (members_.empty()) {
      throw InputError(file_.name() + ": holds no file of frames" +
                       (pattern.empty() ? "" : " that fits frames.member = " + Quoted(pattern)) +
                       "; look what is in it");
    }
    std::sort(members_.begin(), members_.end(), [](const Member& a, const Member& b) {
      return NaturalLess(a.name, b.name);
    });
  }

  const ByteSource& file_;
  Wanted wanted_;
  std::optional<ZipListing> listing_;
  std::uint64_t most_;
  std::optional<Spool> spool_;  // None where names are all that is wanted.
  std::unique_ptr<Input> input_;
  std::unique_ptr<archive, int (*)(archive*)> handle_;
  std::vector<Member> members_;
  std::size_t listed_ = 0;  // Of the listing, those that were met.
  int left_out_ = 0;
  bool cut_off_ = false;
};

std::unique_ptr<Unpacking> Unpacked(const ByteSource& file, const Wanted& wanted) {
  if (auto listing = ZipListing::Read(file)) {
    auto by_listing = std::make_unique<Unpacking>(file, wanted, std::move(listing));
    if (by_listing->Run()) return by_listing;
  }
  auto by_library = std::make_unique<Unpacking>(file, wanted, std::nullopt);
  by_library->Run();
  return by_library;
}

}  // namespace

bool IsArchive(std::string_view start) {
  using std::string_view_literals::operator""sv;
  for (const std::string_view mark : {"PK\3\4"sv,
                                      "\x1F\x8B"sv,
                                      "BZh"sv,
                                      "\xFD"
                                      "7zXZ\0"sv,
                                      "\x28\xB5\x2F\xFD"sv,
                                      "\x04\x22\x4D\x18"sv,
                                      "\x1F\x9D"sv}) {
    if (start.starts_with(mark)) return true;
  }
  return start.size() >= 262 && start.substr(257, 5) == "ustar";
}

std::unique_ptr<FrameFiles> FilesOfArchive(const ByteSource& file, const std::string& pattern) {
  return Unpacked(file, {.pattern = pattern})->Files();
}

ArchiveLook LookIntoArchive(const ByteSource& file) {
  return Unpacked(file, {.names_alone = true})->Look();
}

std::unique_ptr<FrameFiles> FileOfArchive(const ByteSource& file, const std::string& name) {
  return Unpacked(file, {.only = name})->Files();
}

}  // namespace ohmglow
