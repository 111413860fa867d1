/* tests/roster/test_file_system.c: a roster is refused on a disk of another machine, and taken on
 * every other. */
#include "check.h"

#include "roster/file_system.h"

#include <string.h>

/* Source of the numbers: linux/magic.h of Debian 12 (linux-libc-dev 6.1), and statfs(2) for those
 * that it alone lists. */
static const struct {
    const char *name;
    unsigned long type;
    const char *fuse_sort;
    const char *want; /* NULL = fine */
} rows[] = {
    { "NFS_SUPER_MAGIC", 0x6969, NULL, "NFS" },
    { "SMB_SUPER_MAGIC", 0x517B, NULL, "SMB" },
    { "CIFS_SUPER_MAGIC", 0xFF534D42, NULL, "CIFS" },
    { "SMB2_SUPER_MAGIC", 0xFE534D42, NULL, "SMB" },
    { "V9FS_MAGIC", 0x01021997, NULL, "9P" },
    { "AFS_SUPER_MAGIC", 0x5346414F, NULL, "AFS" },
    { "AFS_FS_MAGIC", 0x6B414653, NULL, "AFS" },
    { "CODA_SUPER_MAGIC", 0x73757245, NULL, "Coda" },
    { "NCP_SUPER_MAGIC", 0x564C, NULL, "NCP" },
    { "CEPH_SUPER_MAGIC", 0x00C36400, NULL, "Ceph" },
    { "OCFS2_SUPER_MAGIC", 0x7461636F, NULL, "OCFS2" },
    { "FUSE, sshfs", 0x65735546, "sshfs", "sshfs" },
    { "FUSE, not known", 0x65735546, NULL, NULL },
    { "FUSE, a disk", 0x65735546, "ntfs", NULL },
    { "EXT4_SUPER_MAGIC", 0xEF53, NULL, NULL },
    { "XFS_SUPER_MAGIC", 0x58465342, NULL, NULL },
    { "BTRFS_SUPER_MAGIC", 0x9123683E, NULL, NULL },
    { "F2FS_SUPER_MAGIC", 0xF2F52010, NULL, NULL },
    { "TMPFS_MAGIC", 0x01021994, NULL, NULL },
    { "OVERLAYFS_SUPER_MAGIC", 0x794C7630, NULL, NULL },
    { "MSDOS_SUPER_MAGIC", 0x4D44, NULL, NULL },
    { "none that is known", 0x12345678, NULL, NULL },
};

static void test_file_system__another_machines_disk_is_told_by_its_type(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct file_system at = { rows[i].type, rows[i].fuse_sort };
        check_text(rows[i].name, file_system_network_name(&at), rows[i].want);
    }
}

static struct file_system answer;

static bool ask(const char *path, struct file_system *out)
{
    *out = answer;
    return strcmp(path, "/nowhere") != 0;
}

static void test_file_system__the_line_says_why_and_what_to_do(void **state)
{
    (void)state;
    struct error err = { 0 };
    answer = (struct file_system){ .type = 0xEF53 };
    check(file_system_may_hold("/home/coach/a.plumbline", ask, &err));
    answer = (struct file_system){ .type = 0x6969 };
    check(file_system_may_hold("/nowhere", ask, &err));
    check(!file_system_may_hold("/mnt/a.plumbline", ask, &err));
    check_integer("kind", err.kind, ERROR_USAGE);
    check_text(
        "line", err.message,
        "/mnt/a.plumbline: lies on another machine (NFS), where locks don't hold and a roster "
        "would be ruined; keep it on a disk of this machine, and send backups there");
}

/* What this machine says of the folder of temporary files, and of a path that isn't there yet. */
static void test_file_system__asks_the_machine(void **state)
{
    (void)state;
    struct file_system there = { 0 };
    struct file_system not_yet = { 0 };
    check(file_system_of("/tmp", &there));
    check(file_system_of("/tmp/not-there-yet.plumbline", &not_yet));
    check(there.type != 0 && there.type == not_yet.type);
    check(!file_system_of("/no-such-folder/a/b", &there));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_file_system__another_machines_disk_is_told_by_its_type),
        cmocka_unit_test(test_file_system__the_line_says_why_and_what_to_do),
        cmocka_unit_test(test_file_system__asks_the_machine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
